"""What a key opens: scopes by what is read or done, one station, an end, and so many requests a minute."""

from datetime import UTC, datetime, timedelta
from unittest import mock

import pytest
from django.contrib.auth.models import User
from django.core.cache import cache
from django.core.exceptions import ImproperlyConfigured
from django.urls import URLPattern

from api.authentication import EachKey
from api.models import Token
from api.scopes import RESOURCES, in_order, opens, resource_of
from api.tokens import keys_shown, make_token, revoke, token_of
from api.urls import urlpatterns
from hilum.settings.rates import rate_from
from inventory.models import Membership
from inventory.rules.mistakes import Refused
from tests.api.asking import Program
from tests.make import NOW, House, house, received

pytestmark = pytest.mark.django_db
OPEN_TO_BROAD_SCOPES_ALONE = {"", "me", "acts", "package", "<path:rest>"}


@pytest.fixture
def plant() -> House:
    return house()


def key(person: User, *scopes: str, **more: object) -> Program:
    return Program(make_token(person, **{"scopes": scopes, "days": None, "now": NOW, **more}))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("address", "resource"),
    [
        ("/api/v1/lots", "lots"),
        ("/api/v1/lots/24-0001-5/trace", "lots"),
        ("/api/v1/seed-tests/export", "samples"),
        ("/api/v1/acts/receive", "lots"),
        ("/api/v1/acts/add-line", "lines"),
        ("/api/v1/acts/germination", "samples"),
        ("/api/v1/acts/change-role", "records"),
        ("/api/v1/acts/fly", ""),
        ("/api/v1/acts", ""),
        ("/api/v1", ""),
        ("/api/v1/something-new", ""),
        ("/api/v1/x/soaking-test/soaks", "plugins"),
        ("/brapi/v2/seedlots", "lots"),
        ("/brapi/v2/search/germplasm", "lines"),
    ],
)
def test_an_address_belongs_to_one_resource(address: str, resource: str) -> None:
    assert resource_of(address) == resource


def test_every_address_behind_v1_is_known_or_named_as_open_to_broad_scopes_alone() -> None:
    parts = {
        str(pattern.pattern).removeprefix("v1").lstrip("/").split("/")[0]
        for pattern in urlpatterns
        if isinstance(pattern, URLPattern) and str(pattern.pattern).startswith(("v1", "<"))
    }
    unknown = {part for part in parts if not resource_of(f"/api/v1/{part}")}
    assert unknown <= OPEN_TO_BROAD_SCOPES_ALONE


def test_a_narrow_scope_opens_its_own_and_nothing_else(plant: House) -> None:
    lot = received(plant)
    scale = key(plant.records, "lots:read")
    assert scale.get(f"/api/v1/lots/{lot.number}")["lot"] == lot.number
    refused = scale.client.get("/api/v1/samples", headers=scale.headers)
    assert refused.status_code == 403
    assert refused["WWW-Authenticate"] == 'Bearer realm="hilum", error="insufficient_scope", scope="samples:read"'
    assert scale.post("/api/v1/acts/move", {}, 403)["detail"].startswith(
        "This key was not given the scope lots:write; it has lots:read."
    )


def test_what_only_asks_takes_a_key_that_reads(plant: House) -> None:
    assert key(plant.bench, "samples:read").post("/api/v1/outcome", {}, 422)
    assert key(plant.bench, "samples:write").post("/api/v1/outcome", {}, 403)


@pytest.mark.parametrize("resource", RESOURCES)
def test_a_broad_scope_stands_for_all_of_its_kind(resource: str) -> None:
    assert opens(["read"], resource, "read")
    assert not opens(["read"], resource, "write")
    assert not opens([f"{resource}:read"], resource, "write")


def test_what_a_broader_scope_covers_is_not_kept_beside_it() -> None:
    assert in_order(["lots:write", "samples:read", "read", "lots:write"]) == ["read", "lots:write"]


def test_a_key_acts_at_its_own_station_alone(plant: House) -> None:
    other = house("OT")
    Membership.objects.create(station=other.station, user=plant.intake, role="intake")
    lot = received(plant)
    there = key(plant.intake, "read", station=other.station)
    assert there.get("/api/v1/lots")["results"] == []
    assert there.get(f"/api/v1/lots/{lot.number}", 404)
    assert there.get("/api/v1/me")["station"] == "OT"
    assert key(plant.intake, "read", station=plant.station).get("/api/v1/lots")["results"][0]["lot"] == lot.number


def test_a_key_ends_with_the_role_at_its_station(plant: House) -> None:
    other = house("OT")
    Membership.objects.create(station=other.station, user=plant.intake, role="intake")
    there = key(plant.intake, "read", station=other.station)
    Membership.objects.filter(station=other.station, user=plant.intake).delete()
    assert "was ended" in there.get("/api/v1/lots", 401)["detail"]


def test_nobody_gets_a_key_for_a_station_where_they_do_not_work(plant: House) -> None:
    with pytest.raises(Refused, match="intake-st does not work at OT"):
        key(plant.intake, "read", station=house("OT").station)
    assert not Token.objects.exists()


def test_a_key_that_was_ended_opens_nothing(plant: House) -> None:
    program = key(plant.intake, "read")
    revoke(str(Token.objects.get().uid), by=plant.intake, all_of=None, now=NOW)
    assert program.get("/api/v1/lots", 401)
    with pytest.raises(Refused, match="it was ended already"):
        revoke(str(Token.objects.get().uid), by=plant.intake, all_of=None, now=NOW)


def test_a_key_opens_something_just_as_long_as_it_is_listed(plant: House) -> None:
    other, now = house("OT"), datetime.now(UTC)
    Membership.objects.create(station=other.station, user=plant.bench, role="bench")
    lasting = {"scopes": ["read"], "days": None, "now": NOW}
    secrets = [
        make_token(plant.intake, **lasting),
        make_token(plant.people["stranger"], **lasting),
        make_token(plant.bench, **lasting, station=other.station),
        make_token(plant.bench, **{**lasting, "days": 1}),
        make_token(plant.line, **lasting),
        make_token(plant.breeder, **lasting),
    ]
    Membership.objects.filter(user=plant.bench, station=other.station).delete()
    revoke(str(Token.objects.get(user=plant.line).uid), by=plant.line, all_of=None, now=NOW)
    User.objects.filter(pk=plant.breeder.pk).update(is_active=False)
    listed = {token.pk for person in plant.people.values() for token in keys_shown(person, all_of=None, now=now)}
    opening = {token.pk for secret in secrets if (token := token_of(secret, now=now))}
    assert opening == listed
    assert len(opening) == 2


def test_a_key_ends_by_itself(plant: House) -> None:
    old = key(plant.intake, "read", days=1, now=NOW - timedelta(days=400))
    assert old.get("/api/v1/lots", 401)


def test_a_program_reads_who_it_is(plant: House) -> None:
    says = key(plant.bench, "read", "samples:write", name="colour meter", days=30).get("/api/v1/me", 401)
    assert "time is over" in says["detail"]  # made in 2025 for thirty days
    says = key(plant.bench, "read", "samples:write", name="colour meter").get("/api/v1/me")
    assert says.pop("today")
    assert says == {
        "zone": "Etc/GMT+5", "account": "bench-st", "station": "ST", "role": "bench", "key": "colour meter",
        "device": None, "scopes": ["read", "samples:write"], "expires": None,
    }  # fmt: skip


def test_a_key_that_asks_too_often_waits_and_the_others_do_not(plant: House) -> None:
    cache.clear()
    wild, calm = key(plant.bench, "read"), key(plant.intake, "read")
    with mock.patch.object(EachKey, "THROTTLE_RATES", {"key": "2/min"}):
        wild.get("/api/v1/me")
        wild.get("/api/v1/me")
        answer = wild.client.get("/api/v1/me", headers=wild.headers)
        assert answer.status_code == 429
        assert answer.json()["detail"].startswith("This key sends more requests a minute than are answered. Try again")
        assert 0 < int(answer["Retry-After"]) <= 60
        calm.get("/api/v1/me")
    cache.clear()


def test_the_rate_is_whole_requests_a_minute() -> None:
    assert rate_from("90") == "90/min"
    assert rate_from("0") is None
    with pytest.raises(ImproperlyConfigured, match="HILUM_API_RATE is '3/s'"):
        rate_from("3/s")
