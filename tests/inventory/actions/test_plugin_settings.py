"""A plugin is set at a station by people of records, through every door, and no secret is told."""

import json
from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import UTC, datetime
from decimal import Decimal
from io import StringIO
from typing import Any
from zipfile import ZipFile

import pytest
from django.core.management import call_command
from django.test import Client

from api.tokens import make_token
from hilum.plugins import Panel, Plugin
from hilum.plugins.books import books
from hilum.plugins.starting import Started
from inventory.importing.acts import act_of, book
from inventory.models import Operation, PluginSecrets
from inventory.queries.packages import pack
from inventory.queries.verifying import verify
from inventory.rules.mistakes import Refused
from tests.api.asking import Program
from tests.hilum.plugins.test_settings_schema import GOOD
from tests.inventory.lamp import lamp
from tests.make import House, house, received

pytestmark = pytest.mark.django_db
SECRET = "lamp oil 77"
PLUGIN = Plugin(slug="lamp", title="Lamp", version="1", api=">=1.1,<2", settings_schema=GOOD)


def panels(settings: Mapping[str, Any]) -> tuple[Panel, ...]:
    return (Panel("Lamp", tuple((name, f"{type(value).__name__} {value}") for name, value in settings.items())),)


@pytest.fixture(autouse=True)
def _plugin(settings: Any) -> Iterator[None]:
    settings.HILUM_STARTED = Started(plugins=(PLUGIN,), off_at={"lamp": ("FF",)})
    with lamp(("FF",), lot_panels=panels):
        yield


@pytest.fixture
def plant() -> House:
    return house()


def put(plant: House, by: str = "records", **typed: Any) -> Operation:
    return book("set lamp", typed, station=plant.station, by=plant.people[by]).operations[0]


def held(code: str = "ST") -> Mapping[str, Any]:
    return books().settings("lamp", code)


def test_what_is_set_holds_at_its_station_alone_and_is_told_by_its_act(plant: House) -> None:
    other = house("OT")
    act = put(plant, darkest="50", is_strict="yes")
    put(plant, darkest="51.5", replicates="4")
    assert held() == {"darkest": Decimal("51.5"), "lamp": "D65", "replicates": 4, "is_strict": True}
    assert held(other.station.code) == {"darkest": Decimal("48.5"), "lamp": "D65", "is_strict": False}
    facts = json.loads(act.content)["facts"]
    assert (facts["record"], facts["name"], act.by) == ("plugin", "lamp", plant.people["records"])
    assert facts["settings"] == {"darkest": "50", "is_strict": "yes"}
    assert verify(plant.station).is_whole


def test_a_hook_is_given_what_holds_at_its_station(plant: House) -> None:
    lot = received(plant)
    put(plant, replicates="3", lamp="A")
    person = Client()
    person.force_login(plant.records)
    shown = person.get(f"/lots/{lot.number}/").content.decode()
    assert "int 3" in shown
    assert "str A" in shown
    assert "Decimal 48.5" in shown


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"darkest": "101"}, "100"),
        ({"darkest": "bright"}, "bright"),
        ({"lamp": "C"}, "D65"),
        ({"replicates": "2.5"}, "replicates is 2.5. Give a whole number, such as 2."),
        ({"is_strict": "perhaps"}, "yes"),
        ({"watts": "5"}, "watts"),
        ({"password": "a\0b"}, "a sign that cannot be kept"),
        ({}, "Say what to set"),
    ],
)
def test_what_is_not_of_its_kind_is_refused_in_a_sentence_and_nothing_is_set(
    plant: House, typed: dict[str, str], says: str
) -> None:
    with pytest.raises(Refused) as refused:
        put(plant, **typed)
    assert says in str(refused.value)
    assert held() == {"darkest": Decimal("48.5"), "lamp": "D65", "is_strict": False}
    assert not Operation.objects.exists()


def test_only_people_of_records_set_it(plant: House) -> None:
    for role in ("intake", "line", "bench", "breeder", "stranger"):
        with pytest.raises(Refused, match="may not set plugins; records may"):
            put(plant, role, darkest="50")
    assert not Operation.objects.exists()


def test_it_is_no_act_where_the_plugin_is_off_or_cannot_be_set() -> None:
    assert act_of("set lamp", "ST")
    with pytest.raises(Refused, match="is no act"):
        act_of("set lamp", "FF")


def test_every_door_sets_it_and_none_tells_a_secret(plant: House, tmp_path: Any) -> None:
    program = Program(make_token(plant.records, scopes=["read", "write"], days=None, now=datetime.now(UTC)))
    person = Client()
    person.force_login(plant.records)
    told = [json.dumps(program.post("/api/v1/acts/set-lamp", {"password": SECRET, "replicates": 5}))]
    form = {"lamp": "A", "darkest": "60", "key": "k1"}
    told += [str(person.post("/do/set-lamp/", form, follow=True).content), str(person.get("/do/set-lamp/").content)]
    assert 'value="60"' in told[-1]  # a fresh form shows what holds
    unkept = {"password": SECRET + "\0"}
    told += [program.send("/api/v1/acts/set-lamp", unkept).content.decode()]
    told += [person.post("/do/set-lamp/", {**unkept, "key": "k3"}).content.decode()]
    assert all("Password holds a sign that cannot be kept" in answer for answer in told[-2:])
    wrong = person.post("/do/set-lamp/", {"password": SECRET, "darkest": "999", "key": "k2"})
    assert wrong.status_code == 422
    told.append(wrong.content.decode())
    assert command("set", "lamp", "is_strict=yes", "--by", "records-st").startswith("The plugin lamp is set at ST")
    told += [command("settings", "lamp"), command("settings", "lamp", "--json")]
    assert "(set, not shown)" in told[-2]
    told.append(json.dumps([*program.get("/api/v1/changes")["results"], program.get("/api/v1/plugins")]))
    told += [operation.content for operation in Operation.objects.all()]
    told.append(_packed(tmp_path))
    assert held() == {
        "darkest": Decimal(60), "lamp": "A", "replicates": 5, "is_strict": True, "password": SECRET,
    }  # fmt: skip
    assert PluginSecrets.objects.get().texts == {"password": SECRET}
    assert [text for text in told if SECRET in text] == []


def test_a_secret_is_typed_unseen_and_is_not_carried_over_a_sign_in(plant: House) -> None:
    person = Client()
    person.post("/do/set-lamp/", {"password": SECRET, "darkest": "61", "key": "k1"})
    assert SECRET not in json.dumps(dict(person.session.items()))
    person.force_login(plant.records)
    assert [SECRET in shown for shown in (page(person), page(person, password=SECRET))] == [False, False]
    assert '<input type="password" id="field-password" name="password" value=""' in page(person)


def page(person: Client, **typed: str) -> str:
    return person.get("/do/set-lamp/", typed).content.decode()


def test_a_form_calls_fields_as_their_plugin_does_and_not_as_we_call_ours_of_that_name(
    plant: House, settings: Any
) -> None:
    titled = {"found": {"type": "integer", "title": "seeds looked at", "default": 50}, "is_wet": {"type": "boolean"}}
    plugin = replace(PLUGIN, settings_schema={"type": "object", "properties": titled})
    settings.HILUM_STARTED = Started(plugins=(plugin,))
    person = Client()
    person.force_login(plant.records)
    shown = page(person)
    assert '<label for="field-found">Seeds looked at</label>' in shown
    assert '<p class="hint" id="field-found-hint">such as 50</p>' in shown
    assert '<label for="field-is_wet">Is wet</label>' in shown


def test_what_a_changed_schema_does_not_take_leaves_its_page_open_and_can_be_set_anew(
    plant: House, settings: Any
) -> None:
    put(plant, lamp="A", password=SECRET, darkest="50")
    turned = {
        "lamp": {"type": "number"},
        "password": {"type": "string"},
        "darkest": {"type": "string", "writeOnly": True},
    }
    changed = replace(PLUGIN, settings_schema={"type": "object", "properties": turned})
    settings.HILUM_STARTED = Started(plugins=(changed,))
    assert held() == {}  # a secret that is none any more is not shown, and what became one is none of the plain ones
    person = Client()
    person.force_login(plant.records)
    assert person.get("/do/set-lamp/").status_code == 200
    put(plant, lamp="4", password="plain now", darkest="hidden now")
    assert held() == {"lamp": Decimal(4), "password": "plain now", "darkest": "hidden now"}


def command(*words: str) -> str:
    out = StringIO()
    call_command("plugins", *words, "--station", "ST", stdout=out)
    return out.getvalue()


def _packed(folder: Any) -> str:
    file = folder / "all.zip"
    pack(file)
    with ZipFile(file) as packed:
        return " ".join(packed.read(name).decode(errors="replace") for name in packed.namelist())
