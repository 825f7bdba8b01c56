"""Settings fit for one user on their own computer; the models and their migrations agree."""

from __future__ import annotations

import pytest
from django.apps import apps
from django.conf import settings
from django.core.management import call_command
from django.db import models


def test_nothing_is_open_to_other_computers_and_nothing_told_to_strangers() -> None:
    assert settings.DEBUG is False
    # Django's own tests are let in under one more name
    assert set(settings.ALLOWED_HOSTS) - {"testserver"} == {"127.0.0.1", "localhost", "[::1]"}
    policy = settings.CONTENT_SECURITY_POLICY["DIRECTIVES"]
    assert policy["default-src"] == ["'self'"]
    assert policy["img-src"] == ["'self'", "data:"]


@pytest.mark.django_db
def test_no_model_was_changed_without_a_migration() -> None:
    call_command("makemigrations", "records", check=True, dry_run=True, verbosity=0)


def _shown_fields() -> list[models.Field[object, object]]:
    return [
        field
        for model in apps.get_app_config("records").get_models()
        if not hasattr(model, "history_type")
        for field in model._meta.concrete_fields
        if not field.primary_key and not field.is_relation
    ]


@pytest.mark.parametrize("field", _shown_fields(), ids=str)
def test_every_field_says_in_words_what_it_is(field: models.Field[object, object]) -> None:
    assert field.help_text
    assert str(field.help_text).endswith((".", "…"))
