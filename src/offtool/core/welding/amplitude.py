"""How far the face of the horn moves, against what the resin wants. Amplitude is peak-to-peak throughout."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from offtool.core.formulas import formula
from offtool.core.joints.evidence import Span
from offtool.core.values import Caution, Range, Verdict, nearest
from offtool.core.welding.cautions import AT_THE_WELDER
from offtool.core.welding.design import judge
from offtool.core.welding.seam import RESIN
from offtool.handbook.defects import PRACTICE
from offtool.handbook.weld_resins import TABLES, WELD_RESINS, WeldResin, weld_resin

StatedAs = Literal["peak-to-peak", "peak"]
FieldName = Literal["near field", "far field", "not given"]

FREQUENCIES_KHZ = (15.0, 20.0, 30.0, 35.0, 40.0)
"""Stock frequencies, from memory."""
TABLE_KHZ = 20.0
"""What the amplitudes of resins are stated at."""
BOOSTERS = (0.6, 1.0, 1.5, 2.0, 2.5)
"""Usual gains, from memory."""
NEAR_FIELD_MM = 6.0
"""From the face of the horn to the seam; a public glossary has a quarter of an inch, 6.35 mm."""
CONVERTER_UM = 20.0
"""Peak-to-peak of a usual converter at 20 kHz; common practice, no source."""
LOOKS_LIKE_PEAK = 0.65
"""A converter that moves less than this share of the usual may have been stated as peak."""
LARGEST_UM = 130.0
"""At 20 kHz; horns crack beyond. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoosterOffer:
    """What the horn would do with another booster."""

    gain: float
    amplitude_um: float
    verdict: Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class HornAmplitude:
    """Amplitude at the face of the horn, and what the resin wants at this frequency (None: not known).

    `booster` is the usual gain that comes nearest the middle of the range, None where none comes inside it.
    """

    amplitude_um: float
    peak_um: float
    wanted_um: Span | None
    verdict: Verdict
    boosters: tuple[BoosterOffer, ...]
    booster: float | None
    field: FieldName
    frequency_khz: float
    resin: str
    words: str
    cautions: tuple[Caution, ...] = ()


@formula(
    limits={
        "converter_um": Range(
            meaning="amplitude of the converter at full power", unit="µm", above=0, at_most=500, usual=(4, 60)
        ),
        "booster_gain": Range(
            meaning="gain of the booster", above=0, at_most=20, usual=(0.3, 3.5), source=PRACTICE
        ),
        "horn_gain": Range(meaning="gain of the horn", above=0, at_most=20, usual=(0.5, 5), source=PRACTICE),
        "stated": Range(meaning="how the converter's amplitude is stated"),
        "amplitude_pct": Range(
            meaning="amplitude set at the welder", unit="%", above=0, at_most=100, usual=(20, 100)
        ),
        "frequency_khz": Range(
            meaning="frequency of the welder",
            unit="kHz",
            above=0,
            at_most=200,
            usual=(15, 40),
            remedy="give it in kHz, not in Hz",
        ),
        "resin": RESIN,
        "horn_distance_mm": Range(
            meaning="from the face of the horn to the seam; blank where it is not known",
            unit="mm",
            at_least=0,
            at_most=1_000,
        ),
    },
    example={
        "converter_um": 20.0,
        "booster_gain": 1.5,
        "horn_gain": 2.0,
        "stated": "peak-to-peak",
        "frequency_khz": 20.0,
        "resin": "ABS",
    },
    source=f"gains multiply; {TABLES}; inverse to the frequency, {PRACTICE}",
)
def horn_amplitude(
    converter_um: float,
    booster_gain: float,
    horn_gain: float,
    *,
    stated: StatedAs,
    frequency_khz: float,
    amplitude_pct: float = 100.0,
    resin: str = "",
    horn_distance_mm: float | None = None,
) -> HornAmplitude:
    """How far the horn's face moves, peak-to-peak, whether the resin wants that, and which booster would do.

    a = converter x booster x horn x setting / 100; a peak is doubled first. The resin's range at 20 kHz is
    scaled by 20 / frequency.

    Returns: HornAmplitude. Raises: ImpossibleInput for gains or amplitudes that cannot be.

    Holds when: the gains are those of this stack; the horn's is engraved on it or said by its maker.

    Example: 20 µm x 1.5 x 2.0 are 60 µm peak-to-peak, inside the 30 to 70 of ABS.
    """
    converter = converter_um * (2.0 if stated == "peak" else 1.0)
    found = weld_resin(resin)
    wanted = wanted_amplitude(found, frequency_khz)
    per_booster = converter * horn_gain * amplitude_pct / 100
    amplitude = per_booster * booster_gain
    offers = tuple(_offer(gain, gain * per_booster, wanted) for gain in BOOSTERS)
    field = _field(horn_distance_mm)
    verdict = _judged(amplitude, wanted)
    booster = _nearest_booster(offers, wanted)
    return HornAmplitude(
        amplitude_um=amplitude,
        peak_um=amplitude / 2,
        wanted_um=wanted,
        verdict=verdict,
        boosters=offers,
        booster=booster,
        field=field,
        frequency_khz=frequency_khz,
        resin=resin,
        words=_words(amplitude, wanted, booster, verdict),
        cautions=(
            *_about_statement(converter, stated, frequency_khz),
            *_about_resin(resin, found, field),
            *_about_frequency(frequency_khz),
            *_about_horn(amplitude, frequency_khz),
            *AT_THE_WELDER,
        ),
    )


def wanted_amplitude(resin: WeldResin | None, frequency_khz: float) -> Span | None:
    """The resin's range at a frequency, µm peak-to-peak: about inverse to it."""
    if resin is None or resin.amplitude_um is None:
        return None
    low, high = resin.amplitude_um
    return Span(low=low * TABLE_KHZ / frequency_khz, high=high * TABLE_KHZ / frequency_khz)


def _judged(amplitude: float, wanted: Span | None) -> Verdict:
    return Verdict.NOT_SHOWN if wanted is None else judge(Span(low=amplitude, high=amplitude), wanted)


def _offer(gain: float, amplitude: float, wanted: Span | None) -> BoosterOffer:
    return BoosterOffer(gain=gain, amplitude_um=amplitude, verdict=_judged(amplitude, wanted))


def _nearest_booster(offers: tuple[BoosterOffer, ...], wanted: Span | None) -> float | None:
    inside = [one for one in offers if one.verdict is Verdict.HOLDS]
    if wanted is None or not inside:
        return None
    return min(inside, key=lambda one: abs(one.amplitude_um - wanted.middle)).gain


def _field(distance_mm: float | None) -> FieldName:
    if distance_mm is None:
        return "not given"
    return "near field" if distance_mm <= NEAR_FIELD_MM else "far field"


def _words(amplitude: float, wanted: Span | None, booster: float | None, verdict: Verdict) -> str:
    said = f"{amplitude:.3g} µm peak-to-peak"
    if wanted is None:
        return f"{said}: what the resin wants is not known"
    span = f"{wanted.low:.3g} to {wanted.high:.3g} µm"
    if verdict is Verdict.HOLDS:
        return f"{said}, inside {span}"
    where = "below" if amplitude < wanted.low else "above"
    way = (
        f"a booster of {booster:g} brings it inside"
        if booster
        else "no usual booster brings it inside: another horn"
    )
    return f"{said}, {where} {span}: {way}"


def _about_statement(converter_um: float, stated: StatedAs, frequency_khz: float) -> tuple[Caution, ...]:
    if stated == "peak":
        return (Caution("the converter was stated as peak: doubled, as all is peak-to-peak here"),)
    usual = CONVERTER_UM * TABLE_KHZ / frequency_khz
    if converter_um < LOOKS_LIKE_PEAK * usual:
        text = (
            f"a converter of {converter_um:g} µm is small for {frequency_khz:g} kHz, where about "
            f"{usual:.2g} µm peak-to-peak is usual: was it stated as peak, half of that?"
        )
        return (Caution(text, PRACTICE),)
    return ()


def _about_resin(code: str, resin: WeldResin | None, field: FieldName) -> tuple[Caution, ...]:
    if resin is None:
        text = f"resin {code!r} is not on the list ({nearest(code.upper(), WELD_RESINS)})"
        return (Caution(text if code else "no resin is given: its range is not known"),)
    if resin.amplitude_um is None:
        return (Caution(f"{resin.name} ({resin.code}) is not welded by ultrasound in practice", PRACTICE),)
    if field == "far field" and not resin.far_field:
        kind = "semi-crystalline" if resin.semi_crystalline else "soft or lossy"
        text = (
            f"{resin.code} is {kind} and swallows sound: a seam more than {NEAR_FIELD_MM:g} mm from the horn "
            "seldom welds; bring the horn near, or weld another way"
        )
        return (Caution(text, PRACTICE),)
    return ()


def _about_frequency(frequency_khz: float) -> tuple[Caution, ...]:
    if frequency_khz == TABLE_KHZ:
        return ()
    text = f"ranges stated at {TABLE_KHZ:g} kHz, scaled to {frequency_khz:g} kHz as its inverse: roughly"
    return (Caution(text, PRACTICE),)


def _about_horn(amplitude: float, frequency_khz: float) -> tuple[Caution, ...]:
    if amplitude * frequency_khz <= LARGEST_UM * TABLE_KHZ:
        return ()
    return (Caution("horns crack at such amplitudes: ask the horn's maker before it is run", PRACTICE),)
