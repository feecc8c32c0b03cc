"""The database itself refuses to change contents, revisions and entries; only erasing is left."""

from typing import Any

from django.db import migrations

_KEPT = ("jobs_content", "jobs_revision", "jobs_storedentry")
_REFUSAL = "contents, revisions and entries are only ever added"


def refuse_changes(apps: Any, schema_editor: Any) -> None:
    if schema_editor.connection.vendor == "postgresql":
        schema_editor.execute(
            "CREATE FUNCTION jobs_only_added() RETURNS trigger AS $$ BEGIN "
            f"RAISE EXCEPTION '{_REFUSAL}'; END $$ LANGUAGE plpgsql"
        )
        for table in _KEPT:
            schema_editor.execute(
                f"CREATE TRIGGER {table}_only_added BEFORE UPDATE ON {table} "
                "FOR EACH ROW EXECUTE FUNCTION jobs_only_added()"
            )
        return
    for table in _KEPT:
        schema_editor.execute(
            f"CREATE TRIGGER {table}_only_added BEFORE UPDATE ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{_REFUSAL}'); END"
        )


def allow_changes(apps: Any, schema_editor: Any) -> None:
    on = schema_editor.connection.vendor == "postgresql"
    for table in _KEPT:
        schema_editor.execute(f"DROP TRIGGER {table}_only_added" + (f" ON {table}" if on else ""))
    if on:
        schema_editor.execute("DROP FUNCTION jobs_only_added()")


class Migration(migrations.Migration):
    dependencies = [("jobs", "0001_initial")]
    operations = [migrations.RunPython(refuse_changes, allow_changes)]
