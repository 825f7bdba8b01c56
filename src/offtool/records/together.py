"""Operations of a migration that are carried out as one."""

from __future__ import annotations

from collections.abc import Sequence

from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.operations.base import Operation
from django.db.migrations.state import ProjectState


class Together(Operation):
    """Tables that are made at once.

    Django draws up all models anew after each operation, so a hundred tables one by one cost a hundred times
    a hundred; here it happens once, and a new record is there in a second or two.
    """

    reduces_to_sql = True
    reversible = True

    def __init__(self, operations: Sequence[Operation]) -> None:
        self.operations = list(operations)

    def state_forwards(self, app_label: str, state: ProjectState) -> None:
        state.__dict__.pop("apps", None)  # drawn up again when next asked for, with all of them
        for one in self.operations:
            one.state_forwards(app_label, state)

    def database_forwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        for one in self.operations:
            one.database_forwards(app_label, schema_editor, from_state, to_state)

    def database_backwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        for one in reversed(self.operations):
            one.database_backwards(app_label, schema_editor, from_state, to_state)

    def describe(self) -> str:
        return "; ".join(one.describe() for one in self.operations)
