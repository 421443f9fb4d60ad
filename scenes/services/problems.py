"""Everything that is wrong with what somebody asks for, by field, raised all at once."""

from __future__ import annotations

from django.core.exceptions import ValidationError

EVERYWHERE = "__all__"


class Problems(dict[str, list[str]]):
    """Sentences by field; `EVERYWHERE` holds what belongs to no field."""

    def add(self, field: str, sentence: str) -> None:
        self.setdefault(field, []).append(sentence)

    def refuse(self) -> None:
        """Raise ValidationError with all of them, if there are any."""
        if self:
            raise ValidationError(dict(self))
