"""What must be said wherever something is welded or pulled apart. Usual cautions; no limit is set here."""

from __future__ import annotations

from offtool.core.values import Caution
from offtool.handbook.defects import PRACTICE

HANDS = Caution(
    "Never touch a horn that runs or may start: it burns and crushes at once. Two-hand control, guards "
    "closed, air and generator off before anyone reaches in; only trained people work at the welder.",
    PRACTICE,
)
NOISE = Caution(
    "A welder is loud where it is not heard (just above hearing, at its own frequency) and where it is "
    "(parts, nest and horn scream at fractions of it). Enclose it, wear hearing protection, have both "
    "measured.",
    PRACTICE,
)
HEAT = Caution(
    "Melt is hot, and a badly fitted part or a cracked horn can throw off pieces and dust: wear eye "
    "protection, let the seam set before it is touched, draw off fumes.",
    PRACTICE,
)
LIMITS_DIFFER = Caution(
    "Limits for noise, near-ultrasound and machine guards differ by country and are not decided here: ask "
    "those who are licensed for it where the welder stands.",
    PRACTICE,
)
PULLING = Caution(
    "A seam that lets go under load throws pieces: guard the tester, keep hands and eyes out of the line of "
    "pull.",
    PRACTICE,
)
EDGES = Caution(
    "Flash can be sharp and can break off. On a toy it is judged as an edge and as a small part, by the "
    "laboratory and under the law that applies.",
    PRACTICE,
)
RULES_OF_THUMB = Caution(
    "The rules are practice and their sources disagree: they say where to start. Only seams that were welded "
    "and pulled apart show that it holds.",
    PRACTICE,
)
AT_THE_WELDER: tuple[Caution, ...] = (HANDS, NOISE, HEAT, LIMITS_DIFFER)
"""Said with every result from which somebody goes to the welder."""
