"""Company (the tenant), the people who sign in, and what each may do there."""

from __future__ import annotations

from typing import Any, ClassVar

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager, PermissionsMixin
from django.db import models
from django.urls import reverse

from company.core.names import name_key
from company.rows import CompanyRows, KeyField


class Role(models.TextChoices):
    """What a person may do in a company, least first."""

    READER = "reader", "reader"
    MAKER = "maker", "maker"
    LEAD = "lead", "lead"

    @property
    def rank(self) -> int:
        """0 for a reader, 1 for a maker, 2 for a lead."""
        return [Role.READER, Role.MAKER, Role.LEAD].index(self)


class Company(models.Model):
    """One puppet company. Nothing of one is ever visible to another."""

    company_path: ClassVar[str] = ""

    class Units(models.TextChoices):
        METRIC = "metric", "millimetres and grams"
        US = "us", "inches and ounces"

    class Paper(models.TextChoices):
        A4 = "A4", "A4"
        LETTER = "Letter", "US Letter"

    class WeekStart(models.IntegerChoices):
        MONDAY = 0, "Monday"
        SATURDAY = 5, "Saturday"
        SUNDAY = 6, "Sunday"

    name = models.CharField(max_length=120)
    name_key = KeyField()
    slug = models.SlugField(max_length=60, unique=True)
    time_zone = models.CharField(max_length=60, default="UTC")
    units = models.CharField(max_length=8, choices=Units, default=Units.METRIC)
    paper = models.CharField(max_length=8, choices=Paper, default=Paper.A4)
    currency = models.CharField(max_length=3, default="EUR")
    week_start = models.PositiveSmallIntegerField(choices=WeekStart, default=WeekStart.MONDAY)
    version = models.PositiveIntegerField(default=1)

    objects = CompanyRows.as_manager()

    class Meta:
        verbose_name_plural = "companies"
        constraints = [
            models.UniqueConstraint(
                fields=["name_key"],
                name="company_name_once",
                violation_error_message="There is a company of this name already.",
            )
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("company:detail", args=[self.pk])


class UserManager(BaseUserManager["User"]):
    """Makes users by their sign-in name; without a password a one-time link still lets in."""

    def get_by_natural_key(self, username: str | None) -> User:
        return self.get(login_key=name_key(username or ""))

    def create_user(self, login: str, name: str, password: str | None = None, **more: Any) -> User:
        user = self.model(login=login, name=name, **more)
        user.set_password(password)
        user.save()
        return user

    def create_superuser(
        self, login: str, name: str, password: str | None = None, **more: Any
    ) -> User:
        return self.create_user(login, name, password, is_staff=True, is_superuser=True, **more)


class User(AbstractBaseUser, PermissionsMixin):
    """Somebody who signs in."""

    login = models.CharField("sign-in name", max_length=120, unique=True)
    login_key = KeyField(of="login", unique=True)
    name = models.CharField(max_length=120)
    is_staff = models.BooleanField(default=False)
    is_active = models.BooleanField(default=True)

    USERNAME_FIELD = "login"
    REQUIRED_FIELDS = ["name"]

    objects = UserManager()

    def __str__(self) -> str:
        return self.name

    def get_full_name(self) -> str:
        return self.name

    def get_short_name(self) -> str:
        return self.name.split()[0] if self.name else self.login


class Membership(models.Model):
    """A person's place in a company."""

    company_path: ClassVar[str] = "company"

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="memberships")
    company = models.ForeignKey(Company, on_delete=models.CASCADE, related_name="memberships")
    role = models.CharField(max_length=8, choices=Role, default=Role.MAKER)

    objects = CompanyRows.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["user", "company"], name="membership_once"),
        ]

    def __str__(self) -> str:
        return f"{self.user}, {self.role} of {self.company}"

    def allows(self, role: Role) -> bool:
        """Whether this place is enough for what `role` may do."""
        return Role(self.role).rank >= role.rank


class SignInLink(models.Model):
    """A link that lets one person in, once. Only the hash of its secret is kept."""

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="sign_in_links")
    token_hash = models.CharField(max_length=64, unique=True)
    expires = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)

    def __str__(self) -> str:
        return f"link for {self.user}"
