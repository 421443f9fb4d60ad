"""How Django knows the company app."""

from django.apps import AppConfig


class CompanyConfig(AppConfig):
    name = "company"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        from company import checks  # noqa: F401  (registers the system checks)
