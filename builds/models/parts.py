"""The parts of a guise that another guise may borrow."""

from django.db import models


class Part(models.TextChoices):
    """Head, hands or body."""

    HEAD = "head", "head"
    HANDS = "hands", "hands"
    BODY = "body", "body"
