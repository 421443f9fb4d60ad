"""One-time links and passwords: who they let in, once, and what everybody else is told."""

from __future__ import annotations

from datetime import timedelta
from threading import Barrier, Thread

import pytest
from django.core.exceptions import ValidationError
from django.db import connection

from company import clock
from company.models import Change, Company, SignInLink, User
from company.services import sign_in
from company.services.companies import start_company

PASSWORD = "seven herring barrels"


@pytest.fixture
def company(db) -> Company:
    return start_company(name="Driftmoor Figure Theatre", lead_name="Ines")[0]


@pytest.fixture
def lead(company) -> User:
    return User.objects.get(login_key="ines")


@pytest.fixture
def token(company, lead) -> str:
    return sign_in.make_link(user=lead, company=company, by=None)


@pytest.fixture
def with_password(lead) -> User:
    return sign_in.set_password(user=lead, password=PASSWORD)


def signed_in_as(client) -> str | None:
    return client.session.get("_auth_user_id")


# The service


def test_only_a_hash_of_the_token_is_kept(token):
    link = SignInLink.objects.get()
    assert token not in (link.token_hash, str(link))
    assert len(link.token_hash) == 64
    assert link.expires == clock.now() + timedelta(days=7)


def test_making_a_link_is_recorded_without_its_secret(token, company, lead):
    change = Change.objects.get(noun="sign-in link")
    assert (change.company, change.row) == (company, str(lead.pk))
    assert token not in str(change.after)


def test_link_lets_in_once(token, lead):
    assert sign_in.read_link(token=token).user == lead
    assert sign_in.use_link(token=token) == lead
    with pytest.raises(sign_in.LinkRefused, match="has been used"):
        sign_in.use_link(token=token)


def test_link_runs_out(token, settings):
    settings.TODAY += timedelta(days=7, seconds=-1)
    sign_in.read_link(token=token)
    settings.TODAY += timedelta(seconds=1)
    with pytest.raises(sign_in.LinkRefused, match="run out"):
        sign_in.use_link(token=token)


def test_newer_link_ends_the_older(token, company, lead):
    newer = sign_in.make_link(user=lead, company=company, by=lead)
    with pytest.raises(sign_in.LinkRefused, match="a newer one"):
        sign_in.use_link(token=token)
    assert sign_in.use_link(token=newer) == lead


@pytest.mark.parametrize("lost", ["", "x", "lost", "é" * 40])
def test_unknown_link(token, lost):
    with pytest.raises(sign_in.LinkRefused, match="not known here"):
        sign_in.read_link(token=lost)


def test_link_of_somebody_who_left(token, lead):
    User.objects.filter(pk=lead.pk).update(is_active=False)
    with pytest.raises(sign_in.LinkRefused, match="not known here"):
        sign_in.use_link(token=token)


@pytest.mark.django_db(transaction=True)
def test_two_at_once_let_one_in(token):
    start, told = Barrier(2), []

    def come_in() -> None:
        start.wait()
        try:
            told.append(sign_in.use_link(token=token).name)
        except sign_in.LinkRefused:
            told.append("refused")
        finally:
            connection.close()

    both = [Thread(target=come_in) for _ in range(2)]
    for thread in both:
        thread.start()
    for thread in both:
        thread.join()
    assert sorted(told) == ["Ines", "refused"]


def test_password_ends_the_links(token, lead):
    sign_in.set_password(user=lead, password=PASSWORD)
    with pytest.raises(sign_in.LinkRefused):
        sign_in.use_link(token=token)


@pytest.mark.parametrize("easy", ["short", "password123", "8472619305"])
def test_password_too_easy_is_refused_and_nothing_saved(lead, easy):
    with pytest.raises(ValidationError) as told:
        sign_in.set_password(user=lead, password=easy)
    assert list(told.value.message_dict) == ["password"]
    lead.refresh_from_db()
    assert not lead.has_usable_password()


# The link's page


def test_looking_at_a_link_does_not_use_it_up(client, token, lead):
    for _ in range(3):
        page = client.get(f"/in/{token}/")
        assert page.status_code == 200
        assert "Come in, Ines" in page.content.decode()
        assert client.head(f"/in/{token}/").status_code == 200
    assert signed_in_as(client) is None

    answer = client.post(f"/in/{token}/")
    assert (answer.status_code, answer["Location"]) == (302, "/")
    assert signed_in_as(client) == str(lead.pk)


def test_used_link_says_so(client, token):
    sign_in.use_link(token=token)
    for answer in (client.get(f"/in/{token}/"), client.post(f"/in/{token}/")):
        assert answer.status_code == 410
        assert "each lets one person in, once" in answer.content.decode()
    assert signed_in_as(client) is None


def test_used_link_does_not_send_to_the_door_who_is_in(client, token, lead):
    sign_in.use_link(token=token)
    client.force_login(lead)
    page = client.get(f"/in/{token}/").content.decode()
    assert f"You are in already, as {lead.name}." in page
    assert "/sign-in/" not in page


def test_link_offers_a_password_to_who_has_none(client, token, company):
    client.post(f"/in/{token}/")
    assert '<a href="/password/">set a password</a>' in client.get("/password/").content.decode()


def test_link_warns_who_is_signed_in_already(client, token, company, db):
    other = User.objects.create_user("tomas", "Tomas")
    client.force_login(other)
    assert "signs them out" in client.get(f"/in/{token}/").content.decode()


def test_link_needs_the_form_s_token(token):
    from django.test import Client

    strict = Client(enforce_csrf_checks=True)
    answer = strict.post(f"/in/{token}/")
    assert answer.status_code == 403
    assert "Send it again" in answer.content.decode()


# Sign-in name and password


@pytest.mark.parametrize("spelling", ["Ines", "ines", "  INES "])
def test_password_lets_in(client, with_password, spelling):
    answer = client.post("/sign-in/", {"username": spelling, "password": PASSWORD})
    assert (answer.status_code, answer["Location"]) == (302, "/")
    assert signed_in_as(client) == str(with_password.pk)


@pytest.mark.parametrize(
    ("name", "word", "told"),
    [
        ("Ines", "eight herring barrels", "do not belong together"),
        ("Nobody", PASSWORD, "do not belong together"),
        ("Ines", "", "Write your password."),
        ("", PASSWORD, "Write the name you sign in with."),
    ],
)
def test_wrong_is_told_and_the_name_kept(client, with_password, name, word, told):
    answer = client.post("/sign-in/", {"username": name, "password": word})
    assert answer.status_code == 422
    page = answer.content.decode()
    assert told in page
    assert f'value="{name}"' in page or not name
    assert signed_in_as(client) is None


def test_everything_missing_is_told_at_once(client, db):
    page = client.post("/sign-in/", {}).content.decode()
    assert "Write your password." in page
    assert "Write the name you sign in with." in page


def test_somebody_without_a_password_cannot_guess_one(client, lead):
    answer = client.post("/sign-in/", {"username": "Ines", "password": "!"})
    assert answer.status_code == 422


@pytest.mark.parametrize(
    ("wanted", "goes"),
    [
        ("/password/", "/password/"),
        ("https://elsewhere.example/", "/"),
        ("//elsewhere.example/", "/"),
        ("javascript:alert(1)", "/"),
        ("", "/"),
    ],
)
def test_way_on_stays_on_the_site(client, with_password, wanted, goes):
    answer = client.post("/sign-in/", {"username": "Ines", "password": PASSWORD, "next": wanted})
    assert answer["Location"] == goes


def test_who_is_in_is_sent_on(client, lead):
    client.force_login(lead)
    assert client.get("/sign-in/?next=/password/")["Location"] == "/password/"


def test_too_many_tries_rest_this_name_alone(client, with_password, company, settings):
    other = User.objects.create_user("tomas", "Tomas")
    sign_in.set_password(user=other, password=PASSWORD)
    spellings = ["Ines", "INES", " ines", "ines ", "iNes", "Ines"]
    answers = [
        client.post("/sign-in/", {"username": name, "password": "wrong"}) for name in spellings
    ]
    assert [answer.status_code for answer in answers] == [422] * 5 + [429]
    assert "rests for a quarter of an hour" in answers[-1].content.decode()

    right = client.post("/sign-in/", {"username": "Ines", "password": PASSWORD})
    assert right.status_code == 429
    assert signed_in_as(client) is None
    assert client.post("/sign-in/", {"username": "tomas", "password": PASSWORD}).status_code == 302


def test_a_link_lets_in_who_is_locked_out(client, with_password, company):
    for _ in range(6):
        client.post("/sign-in/", {"username": "Ines", "password": "wrong"})
    token = sign_in.make_link(user=with_password, company=company, by=None)
    assert client.post(f"/in/{token}/").status_code == 302


# Going out


def test_looking_at_sign_out_signs_nobody_out(client, lead):
    client.force_login(lead)
    assert client.get("/sign-out/").status_code == 200
    assert signed_in_as(client) == str(lead.pk)
    assert client.post("/sign-out/")["Location"] == "/sign-in/"
    assert signed_in_as(client) is None


# A password of one's own


def test_first_password_is_set_and_the_person_stays_in(client, lead):
    client.force_login(lead)
    page = client.get("/password/").content.decode()
    assert "You have no password yet" in page
    assert 'name="old"' not in page
    answer = client.post("/password/", {"password": PASSWORD, "again": PASSWORD})
    assert (answer.status_code, answer["Location"]) == (302, "/")
    assert signed_in_as(client) == str(lead.pk)
    lead.refresh_from_db()
    assert lead.check_password(PASSWORD)
    assert client.get("/password/").status_code == 200


def test_changing_it_asks_for_the_old_one(client, with_password):
    client.force_login(with_password)
    new = "nine herring barrels"
    wrong = client.post("/password/", {"old": "guess", "password": new, "again": new})
    assert wrong.status_code == 422
    assert "not the password you have" in wrong.content.decode()
    right = client.post("/password/", {"old": PASSWORD, "password": new, "again": new})
    assert right.status_code == 302
    with_password.refresh_from_db()
    assert with_password.check_password(new)


def test_changing_it_ends_the_sessions_elsewhere(client, with_password):
    from django.test import Client

    elsewhere = Client()
    elsewhere.force_login(with_password)
    client.force_login(with_password)
    new = "nine herring barrels"
    client.post("/password/", {"old": PASSWORD, "password": new, "again": new})
    assert elsewhere.get("/password/").status_code == 302
    assert client.get("/password/").status_code == 200


@pytest.mark.parametrize(
    ("password", "again", "told"),
    [
        (PASSWORD, "another", "The two are not the same."),
        ("short", "short", "too short"),
        ("password123", "password123", "too common"),
    ],
)
def test_bad_new_password_is_told(client, lead, password, again, told):
    client.force_login(lead)
    answer = client.post("/password/", {"password": password, "again": again})
    assert answer.status_code == 422
    assert told in answer.content.decode()
    lead.refresh_from_db()
    assert not lead.has_usable_password()


def test_strangers_are_sent_to_sign_in_and_back(client, db):
    answer = client.get("/password/")
    assert (answer.status_code, answer["Location"]) == (302, "/sign-in/?next=/password/")
