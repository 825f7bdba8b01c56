"""What is said of a seam: the verdict in a sentence, what to do in order of effect, what it rests on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from offtool.core.values import Verdict
from offtool.core.welding.melt import Flash
from offtool.core.welding.strength import StrengthFinding
from offtool.core.welding.study import SettingFinding, WindowSetting
from offtool.steps.findings import Action, Fact
from offtool.steps.joint_sentences import per_cent_of
from offtool.steps.seam_found import SeamFound
from offtool.steps.sentences import count, sentence

READ, WINDOW, DESIGN, PIECES = "read", "window", "design", "pieces"
"""Where the reader of an action goes on."""
MOST_OPEN = 3
"""Open questions of the window that are said among what to do; all stand with the window."""


def headline(found: SeamFound) -> str:
    """The verdict in a sentence."""
    name, strength = _name(found), found.strength
    if strength is None:
        return f"{name}: {without_strength(found)}."
    at = f" at {_at(found.setting)}" if found.setting is not None else ""
    shown = f"{_shown(strength)}, {strength.required_n:.0f} N are asked"
    return f"{name} {_stands(found, strength.verdict, at)}: {shown}."


def _stands(found: SeamFound, strength: Verdict, at: str) -> str:
    """How it stands, in the order of its verdict: strength, looks, steel that was cut since."""
    if strength is Verdict.FAILS:
        return f"is too weak{at}"
    holds = strength is Verdict.HOLDS
    if _looks_bad(found):
        if is_stale(found):
            return f"did not look good{at} before its steel was cut"
        strong = "strong enough" if holds else "not shown to hold"
        return f"is {strong}{at} and does not look good"
    if holds:
        return f"held{at} before its steel was cut" if is_stale(found) else f"holds{at}"
    return f"is not shown to hold{at}"


def without_strength(found: SeamFound) -> str:
    """Why nothing is said of the strength."""
    if found.required_n is None:
        return "say what pull it must hold, then it can be judged"
    if not found.pulled:
        return "no piece has been pulled yet"
    if not found.pulled_welded:
        return f"nothing is known of the weld, every piece that was pulled seems to be open ({found.pulled})"
    if found.setting is not None and not found.setting.pulls:
        return f"{count(found.pulled_welded, 'piece')} pulled, none of them at a setting that is known"
    why = next((one for one in found.said if one.startswith(("weld window", "strength"))), "")
    return f"{count(found.pulled_welded, 'piece')} pulled that cannot be judged" + (f"; {why}" if why else "")


def _shown(strength: StrengthFinding) -> str:
    """What the pulls show; a bound below zero is no pull at all."""
    share = per_cent_of(strength.share)
    if strength.low_n is None:
        return f"{share} of seams hold at least an unknown pull"
    if strength.low_n <= 0:
        return f"no pull at all is shown of {share} of seams"
    return f"{share} of seams hold at least {strength.low_n:.0f} N"


def _looks_bad(found: SeamFound) -> bool:
    return found.setting is not None and found.setting.looks_verdict is Verdict.FAILS


def headline_of_all(seams: Sequence[SeamFound]) -> str:
    """How many seams hold."""
    if not seams:
        return "No seam is named yet: name the first, and the two parts that it joins."
    if len(seams) == 1:
        return seams[0].headline
    holding = sum(one.verdict is Verdict.HOLDS for one in seams)
    if holding == len(seams):
        return f"All {len(seams)} seams hold."
    failing = [one for one in seams if one.verdict is Verdict.FAILS]
    ugly = sum(one.strength is not None and one.strength.verdict is not Verdict.FAILS for one in failing)
    weak = len(failing) - ugly
    said = [f"{holding} of {count(len(seams), 'seam')} {'is' if holding == 1 else 'are'} shown to hold"]
    if weak:
        said.append(f"{weak} {'is' if weak == 1 else 'are'} too weak")
    if ugly:
        said.append(f"{ugly} {'does' if ugly == 1 else 'do'} not look good")
    return ", ".join(said) + "."


def _name(found: SeamFound) -> str:
    named = found.name or found.seam
    return named[:1].upper() + named[1:]


def _at(setting: SettingFinding) -> str:
    return setting_in_words(setting.time_s, setting.pressure_bar, setting.amplitude_um)


def setting_in_words(time_s: float | None, pressure_bar: float | None, amplitude_um: float | None) -> str:
    """0.35 s, 2.5 bar, 60 µm peak-to-peak."""
    said = []
    if time_s is not None:
        said.append(f"{time_s:g} s")
    if pressure_bar is not None:
        said.append(f"{pressure_bar:g} bar")
    if amplitude_um is not None:
        said.append(f"{amplitude_um:g} µm peak-to-peak")
    return ", ".join(said) or "an unknown setting"


def actions(found: SeamFound) -> Iterator[Action]:
    """What to do, in order of effect."""
    if found.not_welded:
        named = ", ".join(one.piece for one in found.not_welded[:5])
        more = " …" if len(found.not_welded) > 5 else ""
        yield Action(
            do=f"Set aside {count(len(found.not_welded), 'piece')} that may be open: {named}{more}.",
            because="Height, pull and ridge say so, or contradict each other.",
            leads_to=PIECES,
        )
    if found.required_n is None:
        yield Action(
            do="Say what pull the seam must hold.",
            because="From use and from the tension test of the law that applies, with a reserve.",
            leads_to=DESIGN,
        )
    yield from _strength(found)
    yield from _drawing(found)
    yield from _welder(found)
    yield from _missing(found)
    yield from _audit(found)


def _strength(found: SeamFound) -> Iterator[Action]:
    window, strength = found.window, found.strength
    if strength is None:
        yield Action(
            do="Weld and pull: three settings of time and pressure, five pieces each, the middle ten times.",
            because="Only pulled seams show that it holds; what the drawing says is where to start.",
            leads_to=READ,
        )
        return
    stand = window.grid.stand_words if window is not None and window.grid is not None else ""
    if is_stale(found):
        yield Action(
            do=f"Weld and pull again{f', at {stand}' if stand else ''}.",
            because="Steel of a part was cut since the pieces that were pulled.",
            leads_to=READ,
        )
    elif stand:
        yield Action(
            do=f"Weld at {stand}.",
            because="There strength and look are both shown, farthest from the edge of what was tried.",
            leads_to=WINDOW,
        )
    elif window is not None and window.grid is not None:
        yield Action(
            do="Widen what is tried: no setting shows strength and look at once.",
            because="; ".join(one.runs for one in window.open)
            or "Try longer, harder or larger, one at a time.",
            leads_to=WINDOW,
        )
    if strength.more_pulls:
        yield Action(
            do=f"Pull {strength.more_pulls} more at the same setting.",
            because="If they are like those seen, the requirement is shown.",
            leads_to=READ,
        )
    for one in window.open[:MOST_OPEN] if window is not None else ():
        yield Action(do=sentence(one.runs), because=sentence(one.question), leads_to=WINDOW)


def is_stale(found: SeamFound) -> bool:
    """Whether steel was cut since every study that counts."""
    counting = [one for one in found.studies if not one.set_aside]
    return bool(counting) and all(one.is_stale for one in counting)


def stand_of_axis(one: WindowSetting) -> str:
    """Where to stand on one axis, as it is set: 1.8 bar for 1.78; empty where there is nowhere to stand."""
    return f"{one.set_to:.3g} {one.unit}" if one.set_to is not None else ""


def _drawing(found: SeamFound) -> Iterator[Action]:
    if found.design is None:
        return
    for row in found.design.rows:
        if row.verdict is Verdict.FAILS and row.advice:
            yield Action(do=sentence(row.advice), because=f"{sentence(row.what)}", leads_to=DESIGN)
    if found.melt is not None and found.melt.flash is Flash.EXPECTED:
        yield Action(do="Make room for the melt.", because=sentence(found.melt.words), leads_to=DESIGN)


def _welder(found: SeamFound) -> Iterator[Action]:
    amplitude = found.amplitude
    if amplitude is None:
        yield Action(
            do="Write down converter, booster, horn and frequency of the welder.",
            because="The amplitude at the horn follows from them.",
            leads_to=DESIGN,
        )
    elif amplitude.verdict is Verdict.FAILS:
        change = (
            f"a booster of {amplitude.booster:g} would bring it inside"
            if amplitude.booster is not None
            else "no usual booster brings it inside: another horn"
        )
        yield Action(
            do="Change the amplitude.", because=sentence(f"{amplitude.words}; {change}"), leads_to=DESIGN
        )


def _missing(found: SeamFound) -> Iterator[Action]:
    if found.missing:
        yield Action(
            do="Give what is missing of the seam.", because=sentence("; ".join(found.missing)), leads_to=""
        )


def _audit(found: SeamFound) -> Iterator[Action]:
    audit = found.audit
    if audit is None or audit.chosen is None or is_stale(found):
        return
    plan = audit.plan(audit.chosen)
    what = "their mean is" if audit.chosen == "mean of the pulls" else "one comes apart"
    what = "it comes apart" if plan.pulls == 1 else what
    yield Action(
        do=f"At each audit pull {plan.pulls}, and stop the welder where {what} below "
        f"{plan.alarm_below_n:.0f} N.",
        because=f"A drop of {audit.drop_n:.0f} N is then found within {audit.audits} audits with "
        f"{per_cent_of(plan.found_within or 0.0)}.",
        leads_to="",
    )


def facts(found: SeamFound) -> Iterator[Fact]:
    """What the verdict rests on."""
    if found.required_n is not None:
        yield Fact(about="Pull asked", says=f"{found.required_n:g} N")
    if found.largest_flash_mm is not None:
        yield Fact(about="Flash allowed", says=f"{found.largest_flash_mm:g} mm")
    yield Fact(
        about="Parts",
        says=f"{found.top} ({found.top_resin}) under the horn, "
        f"{found.bottom} ({found.bottom_resin}) in the nest",
    )
    for one in found.studies:
        if not one.set_aside:
            pieces = ", ".join(filter(None, (one.top_trial, one.bottom_trial))) or "trial not recorded"
            stale = "; steel was cut since" if one.is_stale else ""
            yield Fact(
                about=f"Study {one.name}",
                says=f"{count(one.runs, 'piece')} of {pieces}{stale}; pulled with "
                f"{one.gauge or 'an unknown gauge'} ({one.gauge_says})",
            )
    strength = found.strength
    if strength is not None:
        yield Fact(
            about="Shown by",
            says=f"{strength.decided_by or 'nothing'}, {count(strength.pulls, 'pull')}, "
            f"{strength.stopped} stopped, {per_cent_of(strength.confidence)} sure",
        )
    if found.energy is not None:
        yield Fact(about="Energy", says=found.energy.words)
    for said in found.said:
        yield Fact(about="Not said", says=said)
