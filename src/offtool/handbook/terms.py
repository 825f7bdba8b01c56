"""The fixed words of the record: which half of the tool, how steel is stated, why a correction is made.

One list for the database, the programme folder, forms and sheets. Each value is the word as it is written.
"""

from __future__ import annotations

from enum import StrEnum
from typing import TypedDict


class Half(StrEnum):
    """Where in the tool a steel feature sits."""

    CAVITY = "cavity half"
    CORE = "core half"
    SLIDE = "slide"
    INSERT = "insert"


class Stated(StrEnum):
    """How a steel size and its correction are given, so that nobody halves or doubles them."""

    DIAMETER = "diameter"
    PER_SIDE = "per side"
    LENGTH = "length"


class SizeKind(StrEnum):
    """What sort of thing a characteristic measures."""

    DIAMETER = "diameter"
    LENGTH = "length"
    WALL = "wall"
    ANGLE = "angle"
    WEIGHT = "weight"
    FORCE = "force"
    TORQUE = "torque"
    OTHER = "other"


class Direction(StrEnum):
    """Which way a size lies to the flow of the melt; shrinkage differs by it."""

    FLOW = "flow"
    CROSS = "cross"
    THICKNESS = "thickness"
    UNKNOWN = ""


class WeightClass(StrEnum):
    """How much hangs on a characteristic."""

    CRITICAL = "critical"
    MAJOR = "major"
    MINOR = "minor"

    @property
    def rank(self) -> int:
        """0 for what most hangs on."""
        return list(WeightClass).index(self)


class Cause(StrEnum):
    """Why a size is off, as the split of its deviation shows."""

    STEEL_SAFE = "steel left on purpose"
    CUT_INACCURATELY = "steel cut inaccurately"
    SHRINKAGE = "shrinkage"
    ONE_CAVITY = "one cavity"
    MIXED = "mixed"


class CorrectionStatus(StrEnum):
    """How far a correction has come."""

    PROPOSED = "proposed"
    CUT = "cut"
    DROPPED = "dropped"


class Outcome(StrEnum):
    """What a later trial says of a prediction."""

    OPEN = ""
    CONFIRMED = "confirmed"
    REFUTED = "refuted"
    UNDECIDED = "undecided"


class StudyKind(StrEnum):
    """How a gauge study was laid out."""

    CROSSED = "crossed"
    """Every operator measures every part, several times."""
    NESTED = "nested"
    """Measuring destroys the piece: every operator has own parts, each of several like pieces."""
    REFERENCE = "reference part"
    """One part of known size, measured again and again."""
    LINEARITY = "linearity"
    """Several parts of known size over the range of the gauge."""


class JointKind(StrEnum):
    """How two parts move or hold on each other."""

    PEG = "peg in socket"
    CLIP = "peg in clip"
    BALL = "ball in socket"
    SNAP = "cantilever snap"
    BOSS = "screw in boss"
    SLIP = "slip fit"
    CHAIN = "chain of sizes"
    LOOP = "loop of sizes"


class JointReadingKind(StrEnum):
    """What is read of an assembled joint."""

    BREAKAWAY = "breakaway torque"
    RUNNING = "running torque"
    PULL_OFF = "pull-off force"
    DROOP = "droop"

    @property
    def unit(self) -> str:
        """The unit it is kept in."""
        return {JointReadingKind.PULL_OFF: "N", JointReadingKind.DROOP: "deg"}.get(self, "N·m")


class JointCondition(StrEnum):
    """What the joint had been through when it was read."""

    FRESH = "fresh"
    AGED = "aged"
    CYCLED = "cycled"


class SeamKind(StrEnum):
    """How the two parts of a welded seam meet."""

    RIDGE = "ridge"
    """A small triangle that melts first, also called energy director."""
    STEP = "step"
    GROOVE = "tongue and groove"
    SHEAR = "shear joint"


class Appearance(StrEnum):
    """What is seen of a welded seam."""

    NOT_LOOKED = ""
    GOOD = "good"
    BAD = "bad"


class Ridge(StrEnum):
    """What is left of the ridge when a seam is opened."""

    NOT_LOOKED = ""
    INTACT = "intact"
    PARTLY = "partly melted"
    MELTED = "melted"


class Failure(StrEnum):
    """How a seam came apart."""

    NOT_LOOKED = ""
    TORN = "material torn"
    PEELED = "peeled clean"
    HELD = "held"
    """The pull was stopped before it came apart: its strength is at least what was read."""


class Stage(StrEnum):
    """How far a product had come when a piece was made."""

    FIRST = "first shots"
    """The first times the tool ran: does it open, fill and eject."""
    EARLY = "early trial"
    """Steel is still to be corrected; marks and textures are not in yet."""
    LATE = "late trial"
    """Corrections are being confirmed; marks and textures come in."""
    ENGINEERING = "engineering build"
    """Put together by engineers, by hand or in first jigs."""
    FINAL = "final engineering build"
    """The last build before the line: its resin, colour, paint and packing are those of production."""
    PILOT = "line pilot"
    """The whole line run as in production, by its own people."""
    PRODUCTION = "production"
    CHANGE = "colour change"
    """Shots of production that are thrown away: starting up, and from one colour to the next."""

    @property
    def rank(self) -> int:
        """Its place in time, from 0; a colour change happens during production."""
        return min(list(Stage).index(self), list(Stage).index(Stage.PRODUCTION))


class DetailKind(StrEnum):
    """Whether a detail of a part, once it is there, stays."""

    STAYS = "stays"
    """Steel was removed, an engraving or a texture cut: nobody takes it back without a trace."""
    COMES_AND_GOES = "comes and goes"
    """An insert, a date wheel, a welded spot: it can be changed back."""


class ColourBy(StrEnum):
    """How the colour of a piece was measured."""

    INSTRUMENT = "instrument"
    PHOTOGRAPH = "photograph"


class PictureType(StrEnum):
    """What kind of picture a photograph is; every browser shows these."""

    JPEG = "image/jpeg"
    PNG = "image/png"
    WEBP = "image/webp"


class Feed(StrEnum):
    """How the melt comes from the nozzle to the cavities."""

    UNKNOWN = ""
    COLD_RUNNER = "cold runner"
    HOT_RUNNER = "hot runner"
    DIRECT = "direct sprue"


class LengthUnit(StrEnum):
    """The unit in which the numbers of a file of a shape are meant."""

    MM = "mm"
    CM = "cm"
    M = "m"
    INCH = "in"


class MeshKind(StrEnum):
    """What sort of file a shape came in."""

    STL = "STL"
    OBJ = "OBJ"
    THREE_MF = "3MF"


class TrialPurpose(StrEnum):
    """What a trial is to show."""

    FIRST_LOOK = "first look"
    """Does it open, fill and eject, and what do the pieces look like."""
    SHORT_SHOTS = "short shots"
    """A row of shots of growing volume: how the cavities fill."""
    SIZES = "sizes"
    """A few pieces of each cavity, measured all over."""
    CAPABILITY = "capability"
    """Many pieces of each cavity: how much the sizes scatter."""
    ASSEMBLY = "assembly"
    """Sets of all parts to be put together."""
    COLOUR = "colour"
    WELDING = "welding"
    """Pieces that are welded and torn."""
    KEEP = "keep"
    """Whole shots that go into the archive."""


class ColourWish(StrEnum):
    """Which colour a trial may be shot in."""

    ANY = "any colour"
    LIGHT = "a light colour"
    """Sinks, flow lines and flash are seen on it."""
    THIS = "the colour of the product"


class Side(StrEnum):
    """From which side of the line a task can be done; it counts where two people face each other."""

    LEFT = "left"
    RIGHT = "right"
    EITHER = "either"


class PairKind(StrEnum):
    """What two tasks have to do with each other."""

    TIED = "together"
    """Both are done at one station."""
    APART = "apart"
    """They are done at different stations."""


class PilotFileKind(StrEnum):
    """What a file of a pilot holds."""

    COUNTS = "counts"
    """Pieces tried, good, reworked and scrapped, by station and hour."""
    DEFECTS = "defects"
    TIMES = "times"
    AUDITS = "audits"
    """Pieces taken from the line hour by hour: welds torn, joints turned or pulled."""


class Market(StrEnum):
    """Where the product will be sold."""

    US = "US"
    EU = "EU"
    OTHER = "other"


class EvidenceSays(StrEnum):
    """What a paper or a test says of its requirement."""

    HOLDS = "holds"
    FAILS = "does not hold"


class LimitKind(StrEnum):
    """What a limit sample stands for."""

    SIGNED = "signed sample"
    GOOD = "good"
    LIMIT = "limit"
    REFUSED = "refused"


class Role(StrEnum):
    """For what a person signs."""

    TOOLING = "tooling"
    PRODUCT = "product"
    QUALITY = "quality"
    PRODUCTION = "production"
    OTHER = "other"


class ReleaseWord(StrEnum):
    """What a person states by signing."""

    RELEASED = "released"
    CONCESSIONS = "released with its concessions"
    NOT = "not released"


class Ends(TypedDict, total=False):
    """Between which numbers a value must lie; the names are those of `offtool.core.values.Range`."""

    above: float
    at_least: float
    below: float
    at_most: float


LARGEST_NUMBER = 1e9
"""No size in mm, deg, g, N or N·m that a moulding shop writes down reaches this; its square is finite."""

ANY_NUMBER: Ends = {"at_least": -LARGEST_NUMBER, "at_most": LARGEST_NUMBER}
POSITIVE: Ends = {"above": 0, "at_most": LARGEST_NUMBER}
NOT_NEGATIVE: Ends = {"at_least": 0, "at_most": LARGEST_NUMBER}
SHARE: Ends = {"above": 0, "below": 1}
SHRINKAGE_PCT: Ends = {"above": 0, "below": 20}
STEP_MM: Ends = {"above": 0, "at_most": 1}

UNITS = ("mm", "deg", "g", "N", "N·m")
"""The units the readers convert to; a characteristic of kind "other" may have one of its own."""

HOUR_OF_DAY: Ends = {"at_least": 0, "at_most": 24}
HOURS_A_DAY: Ends = {"above": 0, "at_most": 24}
TRIAL_HOURS: Ends = {"above": 0, "at_most": 1000}
"""Hours of one trial: none takes six weeks."""
PART_OF_DIRECTION: Ends = {"at_least": -1, "at_most": 1}
"""One number of a direction of length 1."""

SHARE_OR_NONE: Ends = {"at_least": 0, "below": 1}
"""A share that may be nothing, such as that of pieces which fail at a station."""
YIELD: Ends = {"above": 0, "at_most": 1}
LEARNING: Ends = {"at_least": 0.5, "at_most": 1}
"""What is left of the time of a task each time the number made doubles; 1 is no learning."""
AGE_MONTHS: Ends = {"at_least": 0, "at_most": 1200}
PEOPLE: Ends = {"at_least": 1, "at_most": 10_000}
"""People on a line or at a station."""

LARGEST_SHOT = 1_000_000_000
"""No press counts so many cycles."""

LONGEST_NAME = 100
LONGEST_FILE_NAME = 255
