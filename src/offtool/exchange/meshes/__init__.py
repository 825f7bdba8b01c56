"""Shapes of parts from files: STL, OBJ and 3MF."""

from offtool.exchange.meshes.reading import MeshRead, read_mesh

__all__ = ["MeshRead", "read_mesh"]
