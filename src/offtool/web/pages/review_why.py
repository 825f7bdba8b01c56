"""What is meant by the fields of the forms of a release review."""

from __future__ import annotations

from collections.abc import Mapping

WHY: Mapping[str, tuple[tuple[str, str], ...]] = {
    "evidence": (
        ("Evidence", "a paper or a test that answers the line; it is kept as it is and never changed"),
        ("Measured and failing", "stays so whatever a paper says: that takes a concession"),
        ("Steel", "a paper hangs on the steel of its pieces; a later cut of that tool makes it stale"),
        ("In place of", "an older paper that the new one answers again; both stay to be seen"),
    ),
    "concession": (
        ("Concession", "leave to ship with something off, given by a person who may give it"),
        ("Amount", "how far it may be off, so that the next reader can tell when it is more"),
        ("End", "a last day or a number of pieces; after it the line stands as it is measured"),
        ("The law", "allows no concession of a firm: where it asks, the laboratory and the law decide"),
    ),
    "change": (
        (
            "Change",
            "what may make evidence stale: resin, colour, paint, mask, joint, seam, pack, line, gauge",
        ),
        ("Steel", "need not be told: every new state of a tool is a change, with what was cut"),
        ("Of", "a part, tool, joint or seam; evidence that does not hang on it stays as it is"),
        ("Same day", "evidence of the same day counts as older: nobody wrote which came first"),
    ),
    "limit sample": (
        ("Signed sample", "the whole piece as it shall be made"),
        ("Good, limit, refused", "what is easily accepted, just accepted, and just not"),
        ("Area and condition", "belong on the piece: a signature alone tells the station nothing"),
        ("Valid until", "after that day, or after a change, a new one is signed"),
    ),
    "line": (
        ("Short name", "one of the usual list replaces that line; another adds one"),
        (
            "Answered by",
            "sizes, joints, seams, tests and the pilot are read from the record; the rest by evidence",
        ),
        ("Not asked", "a line may be left out with a reason; it stays to be seen as not asked"),
    ),
    "signature": (
        ("You sign", "by typing your own name, for one role; the program fills in nothing and signs nothing"),
        ("Released", "can be stated only while every line holds or is under a concession"),
        ("Not released", "can always be stated"),
        ("It stands", "while the review is as you read it; after a change it says which lines changed"),
    ),
}
"""By the kind of what is entered."""
