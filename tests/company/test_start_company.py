"""Starting a company by service and by command; which company a command works for."""

from __future__ import annotations

import re

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError, call_command

from company.models import Change, Company, Maker, Membership, Role, SignInLink, User
from company.services.companies import CompanyUnclear, company_for_command, start_company
from company.services.sign_in import use_link

pytestmark = pytest.mark.django_db

NAME = "Driftmoor Figure Theatre"


def counts() -> tuple[int, ...]:
    return tuple(m.objects.count() for m in (Company, User, Membership, Maker, Change))


def test_start_company_makes_all_that_the_lead_needs():
    company, lead = start_company(
        name=f"  {NAME} ", lead_name="Ines", time_zone="Europe/London", paper="Letter"
    )
    assert (company.name, company.slug, company.time_zone, company.paper) == (
        NAME,
        "driftmoor-figure-theatre",
        "Europe/London",
        "Letter",
    )
    assert (lead.name, lead.login, lead.has_usable_password()) == ("Ines", "Ines", False)
    assert Membership.objects.get().role == Role.LEAD
    maker = Maker.objects.get()
    assert (maker.company, maker.user, maker.name, maker.is_lead) == (company, lead, "Ines", True)
    change = Change.objects.get(noun="company")
    assert (change.company, change.user, change.after["name"]) == (company, lead, NAME)


def test_all_that_is_wrong_is_told_at_once_and_nothing_made():
    with pytest.raises(ValidationError) as told:
        start_company(name=" ", lead_name="", time_zone="Mars/Olympus", paper="A5", currency="EURO")
    assert sorted(told.value.message_dict) == ["currency", "lead", "name", "paper", "time_zone"]
    assert counts() == (0, 0, 0, 0, 0)


@pytest.mark.parametrize(
    "spelling", [NAME, "driftmoor figure  theatre", " DRIFTMOOR Figure Theatre"]
)
def test_second_company_of_a_name_is_refused(spelling):
    start_company(name=NAME, lead_name="Ines")
    before = counts()
    with pytest.raises(ValidationError) as told:
        start_company(name=spelling, lead_name="Odile")
    assert told.value.message_dict == {"name": ["There is a company of this name already."]}
    assert counts() == before


def test_sign_in_names_are_one_across_companies():
    start_company(name=NAME, lead_name="Ines")
    with pytest.raises(ValidationError) as told:
        start_company(name="Saltmarsh Players", lead_name="INES")
    assert list(told.value.message_dict) == ["login"]
    company, lead = start_company(name="Saltmarsh Players", lead_name="Ines", login="ines.salt")
    assert (lead.name, lead.login) == ("Ines", "ines.salt")
    assert company.name == "Saltmarsh Players"


@pytest.mark.parametrize("length", [81, 200])
def test_too_long_a_lead_is_told(length):
    with pytest.raises(ValidationError) as told:
        start_company(name=NAME, lead_name="I" * length)
    assert told.value.message_dict["lead"] == [f"At most 80 letters, not {length}."]


def test_slugs_differ_where_names_do_not_show_it():
    names = ["Театр", "Θέατρο", "Salt!", "Salt?", "Salt"]
    leads = enumerate(names)
    slugs = [start_company(name=name, lead_name=f"L{n}")[0].slug for n, name in leads]
    assert slugs == ["company", "company-2", "salt", "salt-2", "salt-3"]


def fill(*, company, user):
    """A starter as another app would name it."""
    Maker.objects.create(company=company, name=f"Helper of {user.name}")


def fail(*, company, user):
    raise RuntimeError("the shelf is empty")


def test_starters_are_called_in_the_same_transaction(settings):
    settings.COMPANY_STARTERS = [f"{__name__}.fill"]
    start_company(name=NAME, lead_name="Ines")
    assert Maker.objects.filter(name="Helper of Ines").exists()
    before = counts()
    settings.COMPANY_STARTERS = [f"{__name__}.fill", f"{__name__}.fail"]
    with pytest.raises(RuntimeError):
        start_company(name="Saltmarsh Players", lead_name="Odile")
    assert counts() == before


# The commands


def test_command_prints_a_link_that_works(capsys):
    call_command("start_company", NAME, "--lead", "Ines")
    told = capsys.readouterr().out
    address = told.strip().splitlines()[-1]
    token = re.fullmatch(r"http://127\.0\.0\.1:8000/in/([\w-]+)/", address)[1]
    assert use_link(token=token).name == "Ines"
    assert NAME in told


def test_command_twice_makes_one_company(capsys):
    call_command("start_company", NAME, "--lead", "Ines")
    with pytest.raises(CommandError) as told:
        call_command("start_company", NAME, "--lead", "Ines")
    assert str(told.value).splitlines() == [
        "No company was made.",
        "There is a company of this name already.",
        "--login: Somebody signs in as 'Ines' already; choose another name.",
    ]
    assert Company.objects.count() == 1
    assert SignInLink.objects.count() == 1


def test_command_tells_every_wrong_option():
    with pytest.raises(CommandError) as told:
        call_command("start_company", NAME, "--lead", " ", "--paper", "A5", "--time-zone", "Mars")
    lines = str(told.value).splitlines()
    assert [line.split(":")[0] for line in lines[1:]] == ["--paper", "--time-zone", "--lead"]


def test_new_link_for_who_lost_theirs(capsys):
    start_company(name=NAME, lead_name="Ines")
    call_command("sign_in_link", "INES")
    token = capsys.readouterr().out.strip().rsplit("/", 2)[-2]
    assert use_link(token=token).name == "Ines"


def test_new_link_for_nobody_lists_who_there_is():
    start_company(name=NAME, lead_name="Ines")
    with pytest.raises(CommandError, match=r"Nobody signs in as 'Odil'\. There are: Ines\."):
        call_command("sign_in_link", "Odil")


# Which company a command is for


def test_no_company_makes_one_with_the_defaults():
    company = company_for_command(name=None)
    assert (company.name, company.time_zone, company.units, company.paper) == (
        "My company",
        "UTC",
        "metric",
        "A4",
    )
    assert company_for_command(name="") == company
    assert Company.objects.count() == 1


def test_only_company_is_meant():
    company, _ = start_company(name=NAME, lead_name="Ines")
    assert company_for_command(name=None) == company
    assert company_for_command(name=" driftmoor figure theatre") == company


def test_several_companies_are_listed():
    start_company(name=NAME, lead_name="Ines")
    other, _ = start_company(name="Saltmarsh Players", lead_name="Odile")
    with pytest.raises(CompanyUnclear, match=f"--company NAME.*{NAME}, Saltmarsh Players"):
        company_for_command(name=None)
    assert company_for_command(name="saltmarsh players") == other


def test_named_company_that_is_not_there_is_not_made():
    with pytest.raises(CompanyUnclear, match=r"no company called 'Gulls'\. There is none yet\."):
        company_for_command(name="Gulls")
    assert Company.objects.count() == 0
