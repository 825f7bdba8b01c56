"""XML that means harm is refused; no bytes make the reader raise anything else."""

from __future__ import annotations

from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offtool.core.values import Range
from offtool.exchange.readings import FileRefused, Layout, ReadingTable, read_table
from offtool.exchange.readings.limits import LIMITS, MAX_DEPTH
from tests import published
from tests.exchange.readings.gauge_room import Taken, limits, taken
from tests.exchange.readings.qif_writer import Part, Size, write
from tests.exchange.readings.test_fuzz import read_or_refused

SAMPLES = [
    write(
        [Size(nominal="3", limits=("2.98", "3.03")), Size("2", "Skin", kind="PointProfile", zone="0.4")],
        [
            Part(["3.01", "-0.1"], "SN 1", ["PASS", "FAIL"]),
            Part(["3.02", None], "SN 2", attributes={"Shot": "4"}),
        ],
    ),
    (published.HERE / "qif" / "All-in-one.QIF").read_bytes(),
    (published.HERE / "qif" / "Exploded_Results1.QIF").read_bytes(),
]
TAGS = st.sampled_from(
    ["MeasurementResults", "Value", "Results", "Characteristics", "FileUnits", "Attributes", "Tolerance",
     "DiameterCharacteristicMeasurement", "DiameterCharacteristicItem", "ActualComponent", "SerialNumber",
     "MaxValue", "MinValue", "TargetValue", "UnitName", "Factor", "CharacteristicItemId", "Designator"]
)  # fmt: skip
PIECES = st.one_of(
    TAGS.map(lambda tag: f"<{tag}>"),
    TAGS.map(lambda tag: f"</{tag}>"),
    st.sampled_from(
        ["1e999", "NaN", "-", "<", "&lt;0.1", "&#x41;", "<!-- -->", "<![CDATA[3]]>", "inf", "3,01", "Cav 2",
         "<!DOCTYPE a>", 'xId="2"', 'linearUnit="inch"', "999999999999", "\0", "⌀3.00"]
    ),
)  # fmt: skip

NEW_TEXTS = ["", "1e999", "NaN", "-", "&lt;1", "inf", "3,01", "Cav 2", "x" * 300]


def refused(content: bytes) -> str:
    with pytest.raises(FileRefused) as refusal:
        read_table(content, "otter.qif")
    return str(refusal.value)


@pytest.mark.parametrize(
    "head",
    [
        "<!DOCTYPE QIFDocument>\n",
        '<!DOCTYPE QIFDocument [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;&a;&a;&a;">]>\n',
        '<!DOCTYPE QIFDocument SYSTEM "http://example.org/a.dtd">\n',
        '<!DOCTYPE QIFDocument [<!ENTITY a SYSTEM "file:///etc/passwd">]>\n',
        '<!DOCTYPE QIFDocument [<!ENTITY % a SYSTEM "http://example.org/a"> %a;]>\n',
    ],
)
def test_document_types_and_entities_are_refused(head: str) -> None:
    assert "declares a document type or entities, line" in refused(write(head=head))


def test_an_entity_that_nobody_declares_is_refused() -> None:
    assert "broken XML: undefined entity" in refused(write().replace(b"3.01<", b"&a;<"))


def test_deep_nesting_is_refused_where_it_begins() -> None:
    inside = b"<Attributes>" * (MAX_DEPTH + 1) + b"</Attributes>" * (MAX_DEPTH + 1)
    assert "XML elements inside one another: 101, at most 100" in refused(
        write().replace(b"<InspectionStatus/>", inside)
    )


def test_a_huge_text_is_refused_and_one_outside_the_results_is_passed_over() -> None:
    large = b"<Description>" + b"x" * 200_000 + b"</Description>"
    assert "text of one XML element" in refused(write().replace(b"<InspectionStatus/>", large))
    model = b"<Product><Mesh>" + b"x" * 200_000 + b"</Mesh></Product><Characteristics>"
    assert len(read_table(write().replace(b"<Characteristics>", model), "otter.qif").value) == 1


def test_too_many_elements_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    few = Range(meaning="elements of an XML file", at_most=20, remedy="send less")
    monkeypatch.setitem(LIMITS, "elements", few)
    assert "elements of an XML file: 21, at most 20" in refused(write())


@pytest.mark.parametrize(
    ("inside", "why"),
    [(b"<a/>", "elements of an XML file: 3,000,001"), (b"<Id/>", "characteristics and parts: 500,001")],
)
def test_millions_of_elements_are_refused_before_they_fill_the_memory(inside: bytes, why: str) -> None:
    content = write().replace(b"<InspectionStatus/>", inside * 3_100_000)
    assert why in refused(content)


def test_an_encoding_of_many_bytes_is_refused() -> None:
    assert "encoding" in refused(write().replace(b"UTF-8", b"GB18030"))


def test_cut_files_are_refused_with_the_line() -> None:
    content = write()
    for end in range(200, len(content), 97):
        assert "line" in refused(content[:end])


@settings(deadline=None, max_examples=300)
@given(st.data())
def test_samples_with_pieces_changed(data: st.DataObject) -> None:
    content = bytearray(data.draw(st.sampled_from(SAMPLES)))
    for _ in range(data.draw(st.integers(1, 6))):
        at = data.draw(st.integers(0, len(content)))
        piece = data.draw(st.one_of(st.binary(max_size=4), PIECES.map(str.encode)))
        content[at : at + data.draw(st.integers(0, 12))] = piece
    read_or_refused(bytes(content))


@settings(deadline=None, max_examples=200)
@given(st.lists(PIECES, max_size=40), st.sampled_from([None, *Layout]))
def test_pieces_in_any_order_inside_a_document(pieces: list[str], layout: Layout | None) -> None:
    start = '<QIFDocument xmlns="http://qifstandards.org/xsd/qif3">'
    read_or_refused((start + "".join(pieces) + "</QIFDocument>").encode(), layout)


@settings(deadline=None, max_examples=300)
@given(st.data())
def test_samples_with_elements_of_other_names_and_other_texts(data: st.DataObject) -> None:
    """What stays well-formed reaches further in than broken bytes do."""
    text = data.draw(st.sampled_from(SAMPLES)).decode()
    for _ in range(data.draw(st.integers(1, 4))):
        tag = data.draw(TAGS)
        if data.draw(st.booleans()):
            other = data.draw(TAGS)
            text = text.replace(f"<{tag}>", f"<{other}>").replace(f"</{tag}>", f"</{other}>")
        else:
            start = text.find(f"<{tag}>")
            end = text.find("<", start + 1)
            new = data.draw(
                st.sampled_from(["", "1e999", "NaN", "-", "&lt;1", "inf", "3,01", "Cav 2", "x" * 300])
            )
            if start >= 0 and end >= 0:
                text = text[: start + len(tag) + 2] + new + text[end:]
    read_or_refused(text.encode())


# round trip

NUMBERS = st.decimals(min_value=-500, max_value=500, places=4, allow_nan=False).map(str)


@dataclass(frozen=True)
class Sent:
    """Sizes with their limits, and a value for each on each part."""

    sizes: list[Size]
    parts: list[Part]
    linear: str


@st.composite
def trials(draw: st.DrawFn) -> Sent:
    sizes = []
    for number in range(draw(st.integers(1, 4))):
        nominal = draw(st.integers(1, 400))
        below, above = sorted(draw(st.tuples(st.integers(-900, -1), st.integers(1, 900))))
        name = draw(st.sampled_from(["Peg", "Höhe", "外径", "Wall & tip"])) + f" {number}x"
        as_limits = draw(st.booleans())
        ends = (f"{nominal + below / 1000:.3f}", f"{nominal + above / 1000:.3f}")
        deviations = (f"{below / 1000:.3f}", f"{above / 1000:.3f}")
        sizes.append(
            Size(
                str(number + 1), name, nominal=str(nominal), limits=ends if as_limits else None,
                deviations=None if as_limits else deviations,
            )
        )  # fmt: skip
    count = draw(st.integers(1, 5))
    serials = draw(st.lists(st.integers(1, 99999), min_size=count, max_size=count, unique=True))
    parts = [
        Part(draw(st.lists(NUMBERS, min_size=len(sizes), max_size=len(sizes))), f"SN{serial}")
        for serial in serials
    ]
    return Sent(sizes, parts, draw(st.sampled_from(["mm", "inch"])))


@settings(deadline=None, max_examples=150)
@given(trials())
def test_what_is_written_is_read_back(sent: Sent) -> None:
    table: ReadingTable = read_table(write(sent.sizes, sent.parts, linear=sent.linear), "otter.qif")
    factor = 25.4 if sent.linear == "inch" else 1.0
    assert [t.value for t in taken(table)] == pytest.approx(
        [float(value or 0) * factor for part in sent.parts for value in part.values], abs=1e-8
    )
    assert [t[:4] for t in taken(table)] == [
        Taken(size.name, None, None, int(part.serial[2:]), 0.0)[:4]
        for part in sent.parts
        for size in sent.sizes
    ]
    for size, (nominal, lower, upper) in zip(sent.sizes, limits(table), strict=True):
        ends = size.limits or tuple(str(float(size.nominal) + float(one)) for one in size.deviations or ())
        assert nominal == pytest.approx(float(size.nominal) * factor)
        assert (lower, upper) == pytest.approx(tuple(float(end) * factor for end in ends))
