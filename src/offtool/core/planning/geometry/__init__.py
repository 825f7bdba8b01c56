"""The geometry of a part, from triangles: what it weighs, what it covers, how thick it is."""

from offtool.core.planning.geometry.inspected import FaultKind, Inspected, MeshFault, MeshFindings, Number
from offtool.core.planning.geometry.inspection import inspect_mesh
from offtool.core.planning.geometry.measure import METHOD, PartGeometry, PartMeasured, measure_part
from offtool.core.planning.geometry.mesh import Mesh
from offtool.core.planning.geometry.picture import PartPicture, make_picture, read_picture
from offtool.core.planning.geometry.units import MM_PER, UnitGuess, UnitTried, guess_unit
from offtool.core.planning.geometry.walls import ThickPlace, WallFinding, WallMap, WallSpread
from offtool.core.planning.geometry.weight import PartWeight, ShotWeight, part_weight, shot_weight

__all__ = [
    "METHOD",
    "MM_PER",
    "FaultKind",
    "Inspected",
    "Mesh",
    "MeshFault",
    "MeshFindings",
    "Number",
    "PartGeometry",
    "PartMeasured",
    "PartPicture",
    "PartWeight",
    "ShotWeight",
    "ThickPlace",
    "UnitGuess",
    "UnitTried",
    "WallFinding",
    "WallMap",
    "WallSpread",
    "guess_unit",
    "inspect_mesh",
    "make_picture",
    "measure_part",
    "part_weight",
    "read_picture",
    "shot_weight",
]
