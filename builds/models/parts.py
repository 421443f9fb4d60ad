"""The parts of a guise that another guise may borrow."""

from django.db import models


class Part(models.TextChoices):
    """Head, hands, feet or body. Hands and feet are a pair."""

    HEAD = "head", "head"
    HANDS = "hands", "hands"
    FEET = "feet", "feet"
    BODY = "body", "body"
