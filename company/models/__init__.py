"""The tenant and its people: company, users, makers, their hours, and the record of changes."""

from company.models.changes import Change
from company.models.people import Craft, DayOff, Hours, Maker, OtherWork
from company.models.tenants import Company, Membership, Role, SignInLink, User

__all__ = [
    "Change",
    "Company",
    "Craft",
    "DayOff",
    "Hours",
    "Maker",
    "Membership",
    "OtherWork",
    "Role",
    "SignInLink",
    "User",
]
