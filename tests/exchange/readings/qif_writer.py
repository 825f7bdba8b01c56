"""Results in QIF as a measuring program writes them, short; all sizes are invented."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from xml.sax.saxutils import escape

QIF3, QIF2 = "http://qifstandards.org/xsd/qif3", "http://qifstandards.org/xsd/qif2"
FACTORS = {"mm": "0.001", "inch": "0.0254", "degree": "0.017453292519943", "radian": "1"}


@dataclass(frozen=True)
class Size:
    """A characteristic: limits, or deviations from the nominal, or the width of a zone."""

    number: str = "1"
    name: str = "Peg diameter"
    kind: str = "Diameter"
    nominal: str = ""
    limits: tuple[str, str] | None = None
    deviations: tuple[str, str] | None = None
    zone: str = ""
    more: str = ""
    """More XML in the definition."""


@dataclass(frozen=True)
class Part:
    """A measured part: a value and a status for each size, None where there is none."""

    values: Sequence[str | None]
    serial: str = ""
    statuses: Sequence[str] = ()
    attributes: dict[str, str] = field(default_factory=dict)


PEG = Size(nominal="3", limits=("2.98", "3.03"))


def write(
    sizes: Sequence[Size] = (PEG,),
    parts: Sequence[Part] = (Part(["3.01"]),),
    *,
    linear: str = "mm",
    angular: str = "degree",
    space: str = QIF3,
    version: str = "3.0.0",
    head: str = "",
    value_attributes: str = "",
    results: str = "",
) -> bytes:
    """The file, every element on a line of its own."""
    definitions = "\n".join(_definition(at, one) for at, one in enumerate(sizes))
    nominals = "\n".join(_nominal(at, one) for at, one in enumerate(sizes))
    items = "\n".join(_item(at, one) for at, one in enumerate(sizes))
    runs = "\n".join(_run(at, one, sizes, value_attributes) for at, one in enumerate(parts))
    components = "\n".join(_component(at, one) for at, one in enumerate(parts) if one.serial)
    sets = f"<ActualComponentSet>\n{components}\n</ActualComponentSet>"
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n{head}'
        f'<QIFDocument xmlns="{space}" versionQIF="{version}">\n'
        f"{_units(linear, angular)}<Characteristics>\n"
        f"<CharacteristicDefinitions>\n{definitions}\n</CharacteristicDefinitions>\n"
        f"<CharacteristicNominals>\n{nominals}\n</CharacteristicNominals>\n"
        f"<CharacteristicItems>\n{items}\n</CharacteristicItems>\n</Characteristics>\n"
        f"<Results>\n<MeasurementResultsSet>\n{runs}\n</MeasurementResultsSet>\n"
        f"<ActualComponentSets>{sets}</ActualComponentSets>\n{results}</Results>\n</QIFDocument>\n"
    ).encode()


def _units(linear: str, angular: str) -> str:
    named = [("Linear", linear), ("Angular", angular)]
    units = "\n".join(
        f"<{kind}Unit>\n<UnitName>{name}</UnitName>\n<UnitConversion>\n<Factor>{FACTORS[name]}</Factor>\n"
        f"</UnitConversion>\n</{kind}Unit>"
        for kind, name in named
        if name
    )
    return f"<FileUnits>\n<PrimaryUnits>\n{units}\n</PrimaryUnits>\n</FileUnits>\n" if units else ""


def _definition(at: int, size: Size) -> str:
    ends = size.limits or size.deviations
    tolerance = (
        f"<Tolerance>\n<MaxValue>{ends[1]}</MaxValue>\n<MinValue>{ends[0]}</MinValue>\n<DefinedAsLimit>"
        f"{'true' if size.limits else 'false'}</DefinedAsLimit>\n</Tolerance>"
        if ends
        else f"<ToleranceValue>{size.zone}</ToleranceValue>"
        if size.zone
        else ""
    )
    tag = f"{size.kind}CharacteristicDefinition"
    return f'<{tag} id="1{at}">\n{tolerance}\n{size.more}\n</{tag}>'


def _nominal(at: int, size: Size) -> str:
    tag = f"{size.kind}CharacteristicNominal"
    target = f"<TargetValue>{size.nominal}</TargetValue>" if size.nominal else ""
    definition = f"<CharacteristicDefinitionId>1{at}</CharacteristicDefinitionId>"
    return f'<{tag} id="2{at}">\n{definition}\n{target}\n</{tag}>'


def _item(at: int, size: Size) -> str:
    tag = f"{size.kind}CharacteristicItem"
    designator = (
        f"<CharacteristicDesignator>\n<Designator>{escape(size.number)}</Designator>\n</CharacteristicDesignator>"
        if size.number
        else ""
    )
    return (
        f'<{tag} id="3{at}">\n<Name>{escape(size.name)}</Name>\n{designator}\n'
        f"<CharacteristicNominalId>2{at}</CharacteristicNominalId>\n</{tag}>"
    )


def _run(at: int, part: Part, sizes: Sequence[Size], attributes: str) -> str:
    measured = "\n".join(
        _measured(number, size.kind, value, part.statuses[number] if part.statuses else "PASS", attributes)
        for number, (size, value) in enumerate(zip(sizes, part.values, strict=True))
    )
    component = f"<ActualComponentIds>\n<Id>5{at}</Id>\n</ActualComponentIds>" if part.serial else ""
    return (
        f'<MeasurementResults id="4{at}">\n{_attributes(part)}<MeasuredCharacteristics>\n'
        f"<CharacteristicMeasurements>\n{measured}\n</CharacteristicMeasurements>\n</MeasuredCharacteristics>\n"
        f"<InspectionStatus/>\n{component}\n</MeasurementResults>"
    )


def _attributes(part: Part) -> str:
    said = "".join(
        f'<AttributeStr name="{name}" value="{value}"/>\n' for name, value in part.attributes.items()
    )
    return f"<Attributes>\n{said}</Attributes>\n" if said else ""


def _measured(at: int, kind: str, value: str | None, status: str, attributes: str) -> str:
    tag = f"{kind}CharacteristicMeasurement"
    written = "" if value is None else f"<Value{attributes}>{escape(value)}</Value>\n"
    return (
        f"<{tag}>\n<Status>\n<CharacteristicStatusEnum>{status}</CharacteristicStatusEnum>\n</Status>\n"
        f"<CharacteristicItemId>3{at}</CharacteristicItemId>\n{written}</{tag}>"
    )


def _component(at: int, part: Part) -> str:
    serial = f"<SerialNumber>{escape(part.serial)}</SerialNumber>"
    return f'<ActualComponent id="5{at}">\n{serial}\n</ActualComponent>'
