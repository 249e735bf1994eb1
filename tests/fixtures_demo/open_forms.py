"""What the season's lots say in open forms; its tests stand in the class that builds the season once."""

from pathlib import Path
from tempfile import TemporaryDirectory
from typing import ClassVar

import pytest
from django.contrib.auth.models import User

from api.v1.data_packages import package_file
from api.v1.exporting import rows_of
from api.v1.shelves import SHELVES
from inventory.importing.acts import book
from inventory.models import Lot, Operation, Plot, Standing, Station
from inventory.queries.packages import pack
from inventory.queries.tracing import trace
from inventory.rules.label_codes import LabelKind, label_code
from tests.inventory.copying import wrong_in_package
from tests.inventory.queries.epcis_reading import (
    SITE,
    Document,
    address,
    adds_up,
    ancestors,
    ancestors_over_fields,
    events,
    is_traced,
    milligrams,
    quantities,
    standing,
    told,
    wrongs,
)

STANDARD = "EPCIS 2.0 JSON Schema, GS1, 2023-05-16"


class EpcisOfTheSeason:
    """Every lot's history as EPCIS 2.0."""

    station: Station

    _documents: ClassVar[dict[str, Document]] = {}

    @property
    def documents(self) -> dict[str, Document]:
        """Those of all lots, written once."""
        if not self._documents:
            lots = Lot.objects.order_by("pk").values_list("number", flat=True)
            self._documents.update({lot: told(self.station, lot) for lot in lots})
        return self._documents

    @pytest.mark.outside(STANDARD)
    def test_the_documents_of_all_44_lots_are_valid(self) -> None:
        assert len(self.documents) == 44
        assert {lot: found for lot, document in self.documents.items() if (found := wrongs(document))} == {}

    def test_every_document_adds_up_to_the_ledger(self) -> None:
        assert [lot for lot, document in self.documents.items() if not adds_up(document)] == []

    @pytest.mark.outside(STANDARD)
    def test_under_gs1_numbers_all_44_documents_say_the_same_by_other_names(self) -> None:
        """Navy lots have a GTIN and places a GLN; blends and other classes have none and keep our addresses."""
        numbers = {"prefix": "9506000", "gtin": "9506000134352", "market_class": "navy", "gln": "9506000134376"}
        book("gs1 numbers", numbers, station=self.station, by=User.objects.get(username="records"))
        classes = dict(Standing.objects.values_list("lot__number", "market_class__name"))

        def name(lot: str) -> str:
            link = f"https://id.gs1.org/01/09506000134352/10/{lot}"
            return link if classes[lot] == "navy" else address(lot)

        renamed = {lot: told(self.station, lot) for lot in self.documents}
        navy = {lot for lot, market_class in classes.items() if market_class == "navy"}
        assert 5 < len(navy) < len(renamed) == 44
        for lot, document in renamed.items():
            assert wrongs(document) == [] and adds_up(document) and is_traced(self.station, lot, document, name), lot
            assert document["hilum:about"]["address"] == name(lot)
            assert document["epcisBody"] != self.documents[lot]["epcisBody"], "its places at least are named otherwise"
            kept = [[mass["kg"] for mass in event.get("hilum:masses", ())] for event in events(document)]
            assert kept == [[m["kg"] for m in e.get("hilum:masses", ())] for e in events(self.documents[lot])]

    @pytest.mark.outside("EPCIS 2.0, GS1, 2022, clause 7.4.6: inputs and outputs of TransformationEvents, read alone")
    def test_a_reader_of_transformations_finds_the_ancestors_of_the_trace(self) -> None:
        assert [lot for lot, told_of in self.documents.items() if not is_traced(self.station, lot, told_of)] == []
        assert max(len(ancestors(document, address(lot))) for lot, document in self.documents.items()) >= 8

    def test_a_reader_that_goes_over_fields_finds_plots_and_what_was_sown_there(self) -> None:
        plots = {
            f"{SITE}/s/{label_code(LabelKind.PLOT, key)}": code for key, code in Plot.objects.values_list("pk", "code")
        }
        names = {**plots, **{address(lot): lot for lot in self.documents}}
        for lot, document in self.documents.items():
            nodes = {n.id for n in trace(self.station, lot).nodes if n.kind in ("lot", "plot") and n.id != lot}
            assert {names[t] for t in ancestors_over_fields(document, address(lot)) if t in names} == nodes, lot

    def test_quantities_are_the_masses_where_the_standard_has_room_for_them(self) -> None:
        for event in standing(self.documents["24-0016-5"]):
            if event["type"] == "TransformationEvent" and event["hilum:operation"] != "dry":
                given = sum(milligrams(m["kg"]) for m in event["hilum:masses"] if m.get("lot") and m["kg"][0] == "-")
                classes = sum(round(q["quantity"] * 1_000_000) for q in quantities(event, "inputQuantityList"))
                assert classes == -given or "inputEPCList" in event

    def test_the_bags_of_a_lot_are_instances_named_as_their_codes_are(self) -> None:
        event = next(event for event in events(self.documents["24-0016-5"], "bag") if len(event["outputEPCList"]) == 24)
        assert (event["type"], event["bizStep"]) == ("TransformationEvent", "packing")
        assert event["inputQuantityList"] == [{"epcClass": address("24-0016-5"), "quantity": 584.9, "uom": "KGM"}]
        shipped = next(e for e in events(self.documents["24-0016-5"], "ship"))
        assert set(shipped["epcList"]) <= set(event["outputEPCList"])
        assert shipped["destinationList"][0]["type"] == "possessing_party"
        assert shipped["disposition"] == "in_transit"

    def test_a_late_addition_tells_its_run_again_and_declares_the_earlier_one_wrong(self) -> None:
        addition = Operation.objects.get(kind="late addition")
        assert addition.about is not None
        fed = addition.about.run.feed_lot.number
        document = self.documents[fed]
        first, declared, again = [
            event for event in events(document)
            if event["eventID"] in (f"urn:uuid:{addition.uid}", f"urn:uuid:{addition.about.uid}")
        ]  # fmt: skip
        assert declared == {**first, "errorDeclaration": declared["errorDeclaration"]}
        assert declared["errorDeclaration"]["reason"] == "incorrect_data"
        assert declared["errorDeclaration"]["correctiveEventIDs"] == [again["eventID"]]
        throughs = [
            {q["epcClass"]: q["quantity"] for q in e["outputQuantityList"]}.get(f"{SITE}/take-offs/throughs", 0)
            for e in (first, again)
        ]
        assert round(throughs[1] - throughs[0], 6) == 17.5
        assert milligrams(first["hilum:unaccounted"]) - milligrams(again["hilum:unaccounted"]) == 17_500_000

    def test_a_delivery_taken_back_and_booked_again_names_what_is_right(self) -> None:
        wrong = Operation.objects.get(kind="reverse", seq=143).reverses
        assert wrong is not None
        declared = next(
            event for event in events(self.documents["24-0004-4"])
            if event["eventID"] == f"urn:uuid:{wrong.uid}" and "errorDeclaration" in event
        )  # fmt: skip
        assert declared["errorDeclaration"]["reason"] == "incorrect_data"
        (right,) = declared["errorDeclaration"]["correctiveEventIDs"]
        assert right in {event["eventID"] for event in standing(self.documents["24-0004-4"])}


class PackageOfTheSeason:
    """Everything of the season as a Data Package."""

    @pytest.mark.outside("frictionless 5 for Python: Data Package and Table Schema, Frictionless Data")
    def test_an_outside_reader_finds_no_error_in_the_package(self) -> None:
        with TemporaryDirectory() as folder:
            file = Path(folder) / "season.zip"
            pack(file)
            assert wrong_in_package(file) == []


class ListsOfTheSeason:
    """Every list of the season as a Data Package of its own."""

    @pytest.mark.outside("frictionless 5 for Python: Data Package and Table Schema, Frictionless Data")
    def test_an_outside_reader_finds_no_error_in_any_list(self) -> None:
        station, person = Station.objects.get(), User.objects.get(username="records")
        with TemporaryDirectory() as folder:
            for shelf in SHELVES:
                file = Path(folder) / f"{shelf.name}.zip"
                rows = rows_of(shelf.rows(station, person), shelf.columns)
                with package_file(shelf, shelf.columns, rows) as packed:
                    file.write_bytes(packed.read())
                assert wrong_in_package(file) == [], shelf.name
