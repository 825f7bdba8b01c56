"""The XML of a QIF file, gone through once: what the reader needs is held, all else is counted and dropped.

Nothing a file declares is trusted: no DTD, no entities, nothing from outside, and limits on depth, elements
and text. Every element keeps the line and the character it starts at, and those of its text.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import NoReturn
from xml.parsers import expat

from defusedxml.common import (  # type: ignore[import-untyped]
    DefusedXmlException,
    DTDForbidden,
    EntitiesForbidden,
    ExternalReferenceForbidden,
)

from offtool.exchange.readings.limits import LIMITS, refuse_beyond
from offtool.exchange.readings.qif.kinds import DEFINITION, ITEM, MEASURED, NOMINAL
from offtool.exchange.readings.table import FileRefused

ROOT = "QIFDocument"
NAMESPACES = {"http://qifstandards.org/xsd/qif3": "3.", "http://qifstandards.org/xsd/qif2": "2."}
"""The namespaces that are read, and how their versions begin."""

RESULTS = ("Results", "MeasurementsResults", "MeasurementResults")
"""The part of a document with measurements: of 3.0, and of 2.1 with one set of them or several."""

_HELD = {"FileUnits", "Characteristics", "ExternalQIFReferences", *RESULTS}
_KNOWN = frozenset(
    re.findall(
        r"\w+",
        """
        PrimaryUnits OtherUnits LinearUnit LinearUnits AngularUnit AngularUnits ForceUnit ForceUnits MassUnit
        MassUnits SIUnitName UnitName UnitConversion Factor Offset ExternalQIFDocument URI
        CharacteristicDefinitions CharacteristicNominals CharacteristicItems Name Description
        CharacteristicDesignator Designator CharacteristicNominalId CharacteristicDefinitionId TargetValue
        Tolerance ToleranceValue OuterDisposition MaterialCondition MaxValue MinValue PlusValue MinusValue
        DefinedAsLimit MeasurementResultsSet MeasurementResults MeasuredCharacteristics
        CharacteristicMeasurements CharacteristicActuals Status CharacteristicStatusEnum CharacteristicItemId
        TimeStamp ActualComponentId ActualComponentIds Id Value ActualComponentSets ActualComponentSet
        ActualComponent SerialNumber InspectionTraceability InspectionStart InspectionEnd InspectionOperator
        ReportPreparer ReportPreparationDate
        """,
    )
)
"""What is read inside the held parts, beside characteristics and user attributes; all else is passed over."""

_ENDINGS = (ITEM, NOMINAL, DEFINITION, *MEASURED)
_ATTRIBUTES = "Attribute"
_BETWEEN = "\n"
_PIECE = 1 << 20
_LOOKED_AT = 1 << 16
_MARKS = (codecs.BOM_UTF8, codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
_EXPORT_ANEW = "export the results anew as QIF 3.0"


@dataclass(slots=True)
class Element:
    """An element without its namespace; rows and columns count from 1."""

    tag: str
    attributes: dict[str, str]
    row: int
    column: int
    text: str = ""
    text_row: int = 0
    text_column: int = 0
    children: list[Element] = field(default_factory=list)

    def child(self, *path: str) -> Element | None:
        """The first child of that name, or the one at the end of a path of names."""
        found: Element | None = self
        for tag in path:
            found = next((one for one in found.children if one.tag == tag), None) if found else None
        return found

    def said(self, *path: str) -> str:
        """The text at the end of a path of names; empty where there is none."""
        found = self.child(*path)
        return " ".join(found.text.split()) if found else ""

    def all(self, tag: str) -> Iterator[Element]:
        """Every element of that name below this one, in the order of the file."""
        waiting = [iter(self.children)]
        while waiting:
            for one in waiting[-1]:
                if one.tag == tag:
                    yield one
                waiting.append(iter(one.children))
                break
            else:
                waiting.pop()


@dataclass(slots=True)
class Document:
    """What is held of a file: its parts of the first level, and the names of all that it has."""

    version: str
    parts: dict[str, Element]
    seen: set[str]


def is_qif(content: bytes) -> bool:
    """Whether bytes are XML that speaks of a QIF document near its start."""
    start = content[:_LOOKED_AT]
    for mark in _MARKS:
        start = start.removeprefix(mark)
    plain = start.replace(b"\0", b"").lstrip()
    return plain.startswith(b"<") and ROOT.encode() in plain


def open_document(content: bytes, name: str, take: Callable[[Element], bool]) -> Document:
    """Go through a file. `take` is shown each held element when it ends; one that it takes is not kept.

    Raises FileRefused for what is no QIF document, is not well-formed, or goes beyond the limits.
    """
    walk = _Walk(name, take)
    try:
        for start in range(0, len(content), _PIECE):
            walk.parser.Parse(content[start : start + _PIECE], False)
        walk.parser.Parse(b"", True)
    except FileRefused:
        raise
    except DefusedXmlException as error:
        what = "declares a document type or entities" if not _is_outside(error) else "refers to files outside"
        remedy = "no measuring program needs them; ask where the file comes from, and export it anew"
        raise FileRefused(f"{what}, line {walk.line}", where=name, remedy=remedy) from error
    except expat.ExpatError as error:
        why = expat.ErrorString(error.code)
        at = f"line {error.lineno}, column {error.offset + 1}"
        raise FileRefused(f"is broken XML: {why}, {at}", where=name, remedy=_EXPORT_ANEW) from error
    except (LookupError, ValueError) as error:  # an encoding that Python does not know, or one of many bytes
        raise FileRefused(
            f"is in an encoding that is not read ({error})", where=name, remedy="export it in UTF-8"
        ) from error
    if walk.document is None:
        raise FileRefused(f"is XML, but no {ROOT}", where=name, remedy=_EXPORT_ANEW)
    return walk.document


def _is_outside(error: DefusedXmlException) -> bool:
    return isinstance(error, ExternalReferenceForbidden)


class _Walk:
    """Follows the tags of a file; holds the path of elements that are open."""

    def __init__(self, name: str, take: Callable[[Element], bool]) -> None:
        self._name, self._take = name, take
        self.document: Document | None = None
        self._space = ""
        self._open: list[Element] = []
        self._held_at: list[int] = []
        """How many elements were held when each of the open ones began."""
        self._depth = self._elements = self._dropped_from = self._held = 0
        self._text: list[str] = []
        self._length = 0
        limits = ("text of an element", "depth", "elements", "held elements")
        self._most_text, self._most_depth, self._most_elements, self._most_held = (
            int(LIMITS[limit].at_most or 0) for limit in limits
        )
        self.parser = expat.ParserCreate(namespace_separator=_BETWEEN)
        self.parser.buffer_text = False  # else the place of a text is that of the tag behind it
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = self._end
        self.parser.CharacterDataHandler = self._characters
        self.parser.StartDoctypeDeclHandler = _forbid_document_type
        self.parser.EntityDeclHandler = _forbid_entity
        self.parser.UnparsedEntityDeclHandler = _forbid_entity
        self.parser.ExternalEntityRefHandler = _forbid_outside

    @property
    def line(self) -> int:
        """The line the walk has come to."""
        return self.parser.CurrentLineNumber

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        self._depth += 1
        self._elements += 1
        if self._depth > self._most_depth:
            refuse_beyond("depth", self._depth, where=f"{self._name}, line {self.line}")
        if self._elements > self._most_elements:
            refuse_beyond("elements", self._elements, where=self._name)
        if self._dropped_from:
            return
        space, _, local = tag.rpartition(_BETWEEN)
        if self.document is None:
            self._begin(space, local, attributes)
        elif self._depth == 2:
            self.document.seen.add(local)
        if space != self._space or not self._is_known(local):
            self._dropped_from = self._depth
            return
        self._text.clear()
        self._length = 0
        self._held_at.append(self._held)
        self._open.append(Element(local, attributes, self.line, self.parser.CurrentColumnNumber + 1))

    def _is_known(self, local: str) -> bool:
        if self._depth <= 2:
            return self._depth == 1 or local in _HELD
        return local in _KNOWN or local.startswith(_ATTRIBUTES) or local.endswith(_ENDINGS)

    def _begin(self, space: str, local: str, attributes: dict[str, str]) -> None:
        if local != ROOT:
            raise FileRefused(f"is XML, but no {ROOT}", where=self._name, remedy=_EXPORT_ANEW)
        if space not in NAMESPACES:
            raise FileRefused(
                f"is QIF of an unknown namespace ({space[:60] or 'none'}), not {' or '.join(NAMESPACES)}",
                where=self._name,
                remedy=_EXPORT_ANEW,
            )
        version = attributes.get("versionQIF", "").strip()[:20]
        if version and not version.startswith(NAMESPACES[space]):
            raise FileRefused(
                f"says it is QIF {version} in the namespace of {NAMESPACES[space]}0",
                where=self._name,
                remedy=_EXPORT_ANEW,
            )
        self.document = Document(version or NAMESPACES[space] + "?", {}, set())
        self._space = space

    def _end(self, _: str) -> None:
        depth, self._depth = self._depth, self._depth - 1
        if self._dropped_from:
            if self._dropped_from == depth:
                self._dropped_from = 0
            return
        element, held = self._open.pop(), self._held_at.pop()
        if not element.children:
            element.text = "".join(self._text).strip()
        self._text.clear()
        self._length = 0
        if depth == 2 and self.document:
            self.document.parts.setdefault(element.tag, element)
        elif depth > 2 and self._take(element):
            self._held = held
        elif depth > 2:
            self._held += 1
            if self._held > self._most_held:
                refuse_beyond("held elements", self._held, where=self._name)
            self._open[-1].children.append(element)

    def _characters(self, text: str) -> None:
        if self._dropped_from or not self._open:
            return
        self._length += len(text)
        if self._length > self._most_text:
            refuse_beyond("text of an element", self._length, where=f"{self._name}, line {self.line}")
        element = self._open[-1]
        if not element.text_row and (bare := text.lstrip()):
            element.text_row = self.line
            element.text_column = self.parser.CurrentColumnNumber + 1 + len(text) - len(bare)
        self._text.append(text)


def _forbid_document_type(name: str, system: str | None, public: str | None, _: bool) -> NoReturn:
    raise DTDForbidden(name, system, public)


def _forbid_entity(name: str, *_: object) -> NoReturn:
    raise EntitiesForbidden(name, None, None, None, None, None)


def _forbid_outside(context: str, base: str | None, system: str | None, public: str | None) -> NoReturn:
    raise ExternalReferenceForbidden(context, base, system, public)
