"""The demo season, built whole: every answer of the story, and every figure of its tables."""

import csv
from decimal import Decimal
from io import StringIO

import pytest
from django.core.management import call_command
from django.test import TestCase
from openpyxl import load_workbook

from fixtures_demo.answers import answers
from fixtures_demo.season import TODAY
from fixtures_demo.tables import HERE, table
from fixtures_demo.telling import build, delete_demo, tell
from fixtures_demo.workbooks import FOLDER, season_sheets
from grading.queries.germination import germinations_of
from grading.queries.grades import sample_answer
from inventory.models import DataMark, Lot, Operation, Standing, Station
from inventory.queries.generations import generation_of
from inventory.queries.runs import run_balance
from inventory.queries.uncleaned import Before  # noqa: F401
from inventory.rules.mass import kg_text
from tests.make import house
