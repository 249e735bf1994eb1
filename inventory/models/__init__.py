"""Tables and constraints of the inventory."""

from inventory.models.accounts import Preference, WrongPassword
from inventory.models.acts import Command, Load, RunDraft, SheetDraft
from inventory.models.field import PlotStage, WeatherDay
from inventory.models.gs1 import Gs1Numbers
from inventory.models.ledger import Bag, Entry, Identity, Lot, Operation
from inventory.models.measured import Measured, PluginSecrets, PluginSettings, ToldPlugin
from inventory.models.notes import FieldNote
from inventory.models.origin import Cross, Line, LineName, MarketClass, Plant, Plot, Sender, Site
from inventory.models.places import Container, Place
from inventory.models.records import (
    Decision,
    Feedback,
    FieldWeight,
    Label,
    Moisture,
    Pollination,
    Promise,
    Receipt,
    RunRecord,
    Shipment,
    Treatment,
)
from inventory.models.standing import ActiveHold, Link, Standing, Stock
from inventory.models.stations import ChainHead, DataMark, LotCounter, Membership, Station

__all__ = [
    "ActiveHold",
    "Bag",
    "ChainHead",
    "Command",
    "Container",
    "Cross",
    "DataMark",
    "Decision",
    "Entry",
    "Feedback",
    "FieldNote",
    "FieldWeight",
    "Gs1Numbers",
    "Identity",
    "Label",
    "Line",
    "LineName",
    "Link",
    "Load",
    "Lot",
    "LotCounter",
    "MarketClass",
    "Measured",
    "Membership",
    "Moisture",
    "Operation",
    "Place",
    "Plant",
    "Plot",
    "PlotStage",
    "PluginSecrets",
    "PluginSettings",
    "Pollination",
    "Preference",
    "Promise",
    "Receipt",
    "RunDraft",
    "RunRecord",
    "Sender",
    "SheetDraft",
    "Shipment",
    "Site",
    "Standing",
    "Station",
    "Stock",
    "ToldPlugin",
    "Treatment",
    "WeatherDay",
    "WrongPassword",
]
