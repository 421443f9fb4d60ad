"""How Django knows the scenes app."""

from django.apps import AppConfig


class ScenesConfig(AppConfig):
    name = "scenes"
    default_auto_field = "django.db.models.BigAutoField"
