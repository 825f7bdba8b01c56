"""The materials of a joint as the mechanics take them."""

from __future__ import annotations

from math import nan

import numpy as np

from offtool.core.joints.evidence import JointMaterial
from offtool.core.joints.response import Materials, Sizes
from offtool.handbook.joint_materials import joint_material

MODULUS_OVER_YIELD = 40.0
"""Plastics yield at about a fortieth of their modulus; common practice, no source. Used only where neither
the user nor the handbook says a yield strength."""

_UNKNOWN = JointMaterial(modulus_mpa=nan, poisson=nan, strain_allowed=nan)


def material_of(code: str, *, repeated: bool = True) -> JointMaterial | None:
    """The handbook's material for a joint assembled once or moved again and again; None for an unknown
    code."""
    found = joint_material(code)
    if found is None:
        return None
    return JointMaterial(
        modulus_mpa=found.modulus_mpa,
        poisson=found.poisson,
        strain_allowed=found.strain_allowed(repeated=repeated),
        name=found.code,
        source=found.source,
    )


def both_sides(materials: Materials) -> tuple[JointMaterial, JointMaterial]:
    """Inner and outer material; one that is missing is not a number throughout, so that answers say so."""
    return materials.inner or _UNKNOWN, materials.outer or _UNKNOWN


def yield_of(material: JointMaterial) -> float:
    """Yield strength in MPa: the handbook's for the material's name, else a fortieth of the modulus."""
    found = joint_material(material.name)
    return material.modulus_mpa / MODULUS_OVER_YIELD if found is None else found.yield_mpa


def one_piece(**sizes: float) -> Sizes:
    """The sizes of a single piece as the elementwise mechanics take them."""
    return {role: np.asarray(value, dtype=np.float64) for role, value in sizes.items()}
