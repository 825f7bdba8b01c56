"""The assembled joint: every pair of cavities and the mix, graded; intervals hold what is not known."""

from __future__ import annotations

from offtool.core.formulas import formula
from offtool.core.inspection.limits import CONFIDENCE
from offtool.core.joints.assembled.chances import draws_for, plausible_shares
from offtool.core.joints.assembled.contributions import fit_contributions, friction_effect
from offtool.core.joints.assembled.draws import (
    Tally,
    pilot_scale,
    tally,
)
from offtool.core.joints.assembled.known import KnownJoint, known_joint
from offtool.core.joints.assembled.results import (
    AssembledJoint,
)
from offtool.core.joints.assembled.shares import Shares
from offtool.core.joints.assembled.sizes import sizes_used
from offtool.core.joints.evidence import JointEvidence
from offtool.core.joints.models import roles_of
from offtool.core.values import Caution, Range
from offtool.handbook.joint_kinds import JOINT_KINDS

IMPOSSIBLE_SAID_ABOVE = 1e-4

_PEG = {"role": "peg_diameter", "part": "arm", "parts": 8}
_BORE = {"role": "socket_bore", "part": "body", "parts": 8}
_ABS = {"modulus_mpa": 2300.0, "poisson": 0.39, "strain_allowed": 0.018}
_EXAMPLE = {
    "kind": "peg in socket",
    "measured": [
        {**_PEG, "cavity": "1", "mean": 4.052, "sd": 0.004},
        {**_PEG, "cavity": "2", "mean": 4.046, "sd": 0.005},
        {**_BORE, "cavity": "1", "mean": 4.000, "sd": 0.005},
        {**_BORE, "cavity": "2", "mean": 4.008, "sd": 0.004},
    ],
    "given": [
        {"role": "socket_outer", "value": 8.0, "plus_minus": 0.05},
        {"role": "contact_length", "value": 4.0, "plus_minus": 0.05},
    ],
    "lower": 0.15,
    "upper": 0.6,
    "inner": _ABS,
    "outer": _ABS,
    "friction": {"low": 0.3, "high": 0.4},
}


@formula(
    limits={
        "evidence": Range(meaning="sizes by cavity, materials, friction and limits of one joint"),
        "combinations": Range(
            meaning="joints to draw, over all pairs of cavities",
            at_least=1,
            at_most=1_000_000_000,
            usual=(1000, 1_000_000_000),
            source="fewer say little",
        ),
        "confidence": CONFIDENCE,
        "seed": Range(meaning="number that the draws start from", at_least=0),
    },
    example={"evidence": _EXAMPLE, "combinations": 20_000},
    source="Monte Carlo; fiducial draws of mean and spread (t and chi-square); line sampling for shares; "
    "Clopper, Pearson 1934; put together by offtool",
)
def assemble_joint(
    evidence: JointEvidence, *, combinations: int = 200_000, confidence: float = 0.95, seed: int = 1
) -> AssembledJoint:
    """How many joints will be loose, good, tight or overstrained, for each pair of cavities and in the mix.

    Pieces are drawn from each cavity's mean and spread, the gauge's scatter taken out, put together and
    graded. Loose and tight are measures past a limit, as the kind has it; overstrained goes before both. A
    joint that locks for good is above every limit, and left out of mean, bars and contributions. The
    mix takes every cavity of a part equally often. Shares, mean and bars are at the best estimates, friction
    in its middle; the intervals carry the uncertainty of means and spreads from few parts, friction anywhere
    in its range, and the draws' own noise. Each interval holds for itself, not all at once.

    Returns: AssembledJoint. Raises: NotEnoughData for a size that is missing or shows no spread,
    ImpossibleInput for one that cannot be, OfftoolError for more than 4096 combinations of cavities or sizes
    that make no joint.

    Holds when: sizes of a cavity are normal (given ones too, ± as three standard deviations, or even where
    said) and stay as they were in the trial; sizes go their own ways but where correlations are given.
    """
    known = known_joint(evidence)
    kind = JOINT_KINDS[evidence.kind]
    each = -(-combinations // len(known.tuples))
    counted = tally(known, each, seed, pilot_scale(known, seed))
    fitted = fit_contributions(known, {role.name: role.unit for role in roles_of(evidence)}, seed)
    plausible = plausible_shares(known, fitted.direction, seed)
    shares = Shares(known, counted, plausible, confidence, lower_is_loose=kind.loose_is == "low")
    mix = shares.of_mix()
    return AssembledJoint(
        kind=evidence.kind,
        measure=kind.measure,
        unit=kind.unit,
        lower=evidence.lower,
        upper=evidence.upper,
        friction=evidence.friction if kind.uses_friction else None,
        parts=tuple(part.name for part in known.parts),
        pairs=shares.of_pairs(),
        mix=mix,
        histogram=shares.bars(),
        sizes=sizes_used(known.sizes, known.parts),
        contributions=tuple(sorted(fitted.contributions, key=lambda one: -one.share)),
        rest_of_variance=fitted.rest,
        friction_effect=(
            friction_effect(known, evidence.friction, mix.sd**2, seed)
            if kind.uses_friction and evidence.friction
            else None
        ),
        pairing=shares.pairing(),
        combinations=each * len(known.tuples),
        draws=draws_for(known),
        seed=seed,
        confidence=confidence,
        cautions=(*known.cautions, *_cautions(evidence, known, counted)),
    )


def _cautions(evidence: JointEvidence, known: KnownJoint, counted: Tally) -> list[Caution]:
    cautions = []
    if evidence.lower is None and evidence.upper is None:
        cautions.append(Caution("no limits are given: nothing is called loose or tight"))
    impossible = counted.impossible.sum() / counted.grades.sum()
    if impossible > IMPOSSIBLE_SAID_ABOVE:
        cautions.append(
            Caution(f"{impossible:.2%} of the pieces drawn make no joint; they count as overstrained")
        )
    if locked := counted.locked.sum() / counted.grades.sum():
        cautions.append(
            Caution(
                f"{locked:.2%} of the joints lock for good and come off only by breaking or by being lifted: "
                "above every limit, and in no mean and no bar"
            )
        )
    if not known.sizes:
        cautions.append(Caution("no size varies: give a ± or measure parts"))
    return cautions
