"""What every model row shares: its way to its company, and the key of a name."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Self

from django.db import models

from company.core.names import name_key

if TYPE_CHECKING:
    from company.models import Company, User


class CompanyRows(models.QuerySet[Any]):
    """Rows that know their company through `company_path`; every read starts with one of these."""

    def _company_lookup(self, tail: str = "") -> str:
        path: str = self.model.company_path
        return "__".join(part for part in (path, tail) if part) or "pk"

    def for_company(self, company: Company) -> Self:
        """Rows of one company."""
        lookup = self._company_lookup()
        return self.filter(**{lookup: company.pk if lookup == "pk" else company})

    def for_user(self, user: User) -> Self:
        """Rows of every company the person belongs to."""
        return self.filter(**{self._company_lookup("memberships__user"): user})


class KeyField(models.CharField):  # type: ignore[type-arg]
    """The comparison key of another text field, worked out whenever the row is written.

    A field rather than logic in `save()`, so that `bulk_create` fills it as well.
    Both databases can then hold 'unique name' as a plain constraint.
    """

    def __init__(self, *args: Any, of: str = "name", **kwargs: Any) -> None:
        self.of = of
        kwargs.setdefault("max_length", 200)
        kwargs["editable"] = False
        super().__init__(*args, **kwargs)

    def deconstruct(self) -> Any:
        name, path, args, kwargs = super().deconstruct()
        kwargs["of"] = self.of
        return name, path, args, kwargs

    def pre_save(self, model_instance: models.Model, add: bool) -> str:
        value = name_key(getattr(model_instance, self.of) or "")
        setattr(model_instance, self.attname, value)
        return value
