"""How Django knows the builds app."""

from django.apps import AppConfig


class BuildsConfig(AppConfig):
    name = "builds"
    default_auto_field = "django.db.models.BigAutoField"
