"""Makes all tables of an app at once, so that a new database is there in a second or two."""

from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.operations import CreateModel, SeparateDatabaseAndState
from django.db.migrations.operations.base import Operation
from django.db.migrations.state import ProjectState


class CreateTables(SeparateDatabaseAndState):
    """Operations that make the tables of an app, with all that they say of them.

    Each operation alone has Django draw every model anew that hangs together with its own, hundreds of times
    in all. Here they are drawn once, as they are after the last operation, and each table is made from that.
    Only for tables that aren't there yet: it can't be taken back table by table.
    """

    def __init__(self, operations: list[Operation]) -> None:
        super().__init__(state_operations=operations)

    def state_forwards(self, app_label: str, state: ProjectState) -> None:
        state.__dict__.pop("apps", None)  # drawn already for the apps before: then each model would be, too
        super().state_forwards(app_label, state)

    def database_forwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        for operation in self.state_operations:
            if isinstance(operation, CreateModel):
                operation.database_forwards(app_label, schema_editor, from_state, to_state)

    def database_backwards(
        self,
        app_label: str,
        schema_editor: BaseDatabaseSchemaEditor,
        from_state: ProjectState,
        to_state: ProjectState,
    ) -> None:
        for operation in reversed(self.state_operations):
            if isinstance(operation, CreateModel):
                operation.database_backwards(app_label, schema_editor, from_state, to_state)
