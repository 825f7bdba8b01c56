"""The record as a Django application."""

from __future__ import annotations

from django.apps import AppConfig
from django.db.models.signals import post_migrate, pre_migrate


class RecordsConfig(AppConfig):
    """What is kept of every programme; its guards are put up after each migration and taken down before."""

    name = "offtool.records"
    label = "records"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Keep the database's own guards in step with the tables."""
        from offtool.records.guards import put_up_guards, take_down_guards

        pre_migrate.connect(take_down_guards, sender=self)
        post_migrate.connect(put_up_guards, sender=self)
