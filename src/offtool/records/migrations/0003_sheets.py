"""The sheet that was read stood in the options only; the same workbook may now be read sheet by sheet."""

from __future__ import annotations

from typing import Any

from django.db import migrations


def _from_options(apps: Any, schema_editor: Any) -> None:
    files = apps.get_model("records", "SourceFile").objects.using(schema_editor.connection.alias)
    for file in files.defer("content"):
        sheet = str(file.read_options.get("sheet") or "")
        if sheet:
            files.filter(pk=file.pk).update(sheet=sheet[:100])


class Migration(migrations.Migration):
    dependencies = [("records", "0002_inspection")]

    operations = [migrations.RunPython(_from_options, migrations.RunPython.noop)]
