"""The register of samples: a line each, with what its tag says and how much was seen of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse

from offtool.steps.sample_found import SampleLine, SamplesFound
from offtool.steps.sentences import count
from offtool.web.pages.frame import Crumb, Frame


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplesPlace:
    """Which programme's register a page is about, and which sample of it; none on a page about all."""

    programme: str
    programme_title: str
    invented: bool
    number: str = ""
    name: str = ""

    def address(self, page: str, *more: object) -> str:
        """The address of one of the sample's pages: "sample", "look_at_sample" …"""
        return reverse(page, args=[self.programme, self.number, *more])

    def frame(self, *, here: str = "", as_json: str = "") -> Frame:
        """The frame of the register, of a sample, or of a page that hangs on either and is called `here`."""
        register = reverse("samples", args=[self.programme])
        crumbs = [
            Crumb(text=self.programme_title, href=reverse("programme", args=[self.programme])),
            Crumb(text="Samples", href=register if self.number or here else ""),
        ]
        if self.number:
            said = ", ".join(filter(None, (self.number, self.name)))
            crumbs.append(Crumb(text=said, href=self.address("sample") if here else ""))
        if here:
            crumbs.append(Crumb(text=here))
        about = f"Sample {self.number}" if self.number else "Samples"
        title = f"{about}, {self.programme_title}"
        return Frame(
            title=f"{here}: {title}" if here else title,
            crumbs=tuple(crumbs),
            invented=self.invented,
            as_json=as_json,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class SampleRow:
    """One sample in the register."""

    number: str
    href: str
    name: str
    parts: str
    tag: str
    place: str
    holder: str
    purpose: str
    seen: str
    small: str
    """The address of its first photograph, small; empty where there is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A link that leads on."""

    text: str
    href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SamplesPage:
    """The register of a programme, or what a search left of it."""

    frame: Frame
    headline: str
    searched: str
    here: str
    """Its own address, without the search."""
    is_empty: bool
    """Whether nothing is registered at all: the page says what to do first."""
    samples: tuple[SampleRow, ...]
    new_href: str
    ways: tuple[Way, ...]
    """What else can be done with the register."""
    take: tuple[Way, ...]
    """What is handed over: labels, tables."""


def samples_page(found: SamplesFound) -> SamplesPage:
    """The page of the register."""
    place = SamplesPlace(
        programme=found.programme, programme_title=found.programme_title, invented=found.invented
    )
    asked = {"words": found.searched} if found.searched else {}
    return SamplesPage(
        frame=place.frame(as_json="?" + urlencode({**asked, "format": "json"})),
        headline=found.headline,
        searched=found.searched,
        here=reverse("samples", args=[found.programme]),
        is_empty=not found.samples and not found.searched,
        samples=tuple(_row(one, found.programme) for one in found.samples),
        new_href=reverse("new_sample", args=[found.programme]),
        ways=tuple(_ways(found.programme, WAYS)),
        take=tuple(_ways(found.programme, TAKE)) if found.samples else (),
    )


WAYS = (
    ("read_samples", "Read a file of pieces"),
    ("lot", "Order a lot of pieces"),
    ("ground", "What pieces are told apart by"),
)
TAKE = (
    ("sample_labels", "Labels for bags and drawers (PDF)"),
    ("samples_workbook", "The register as a workbook"),
    ("samples_csv", "The register as CSV"),
)


def _ways(programme: str, ways: tuple[tuple[str, str], ...]) -> Iterator[Way]:
    for page, text in ways:
        yield Way(text=text, href=reverse(page, args=[programme]))


def _row(one: SampleLine, programme: str) -> SampleRow:
    first = one.first_photograph
    return SampleRow(
        number=one.number,
        href=reverse("sample", args=[programme, one.number]),
        name=one.name,
        parts=one.parts,
        tag=one.tag,
        place=one.place,
        holder=one.holder,
        purpose=one.purpose,
        seen=seen_in_words(one.observations, one.photographs),
        small=reverse("sample_thumbnail", args=[programme, one.number, first]) if first is not None else "",
    )


def seen_in_words(observations: int, photographs: int) -> str:
    """13 things, 1 photograph; that nobody looked."""
    seen = count(observations, "thing") if observations else "nobody looked"
    return f"{seen}, {count(photographs, 'photograph')}" if photographs else seen
