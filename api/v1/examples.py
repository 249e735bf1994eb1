"""An example of each act that works on the demo season; each day of one is after that season's last."""

from collections.abc import Mapping
from hashlib import sha256
from typing import Any

_RULES = {
    "form": 1, "id": "QM-DEMO", "title": "Beans, the station's own limits", "edition": "2",
    "in_force": {"from": "2026-12-01", "until": None}, "source": "the station's own, no source", "official": False,
    "notes": [], "name_order": "as_listed", "factors": {"splits": {"words": "splits"}, "stones": {"words": "stones"}},
    "parts_read_to": "0.01", "judged": {}, "dockage": {"read_to": "0.01", "source": "the station's own"},
    "additions": [], "instead": [], "below_last": {"name": "below No. 1", "source": "the station's own"}, "stops": {},
    "tables": [
        {
            "class": "Beans", "applies_to": ["navy", "black", "pinto"], "table": "own", "class_in_name": False,
            "grades": [{"grade": "No. 1", "needs": {}, "limits": {"splits": "2.00", "stones": "0.20"}}],
        }
    ],
}  # fmt: skip
# What must have been done before, on top of the demo season: a file sample that is discarded stands on its shelf.
AFTER: Mapping[str, tuple[str, Mapping[str, Any]]] = {
    "discard file sample": ("keep file sample", {"sample": "G02", "place": "C-8"}),
    "take file sample out": ("keep file sample", {"sample": "G12", "place": "C-8"}),
    "put rules in force": ("draft rules", {"document": _RULES}),
    "amend note": ("note", {"plot": "HM25-T102", "variable": "standing", "value": "2"}),
}
EXAMPLES: Mapping[str, Mapping[str, Any]] = {
    "amend note": {"plot": "HM25-T102", "variable": "standing", "value": "3", "reason": "looked at the wrong row"},
    "note": {"plot": "HM25-T102", "variable": "yield", "value": "2350", "moisture": "16"},
    "note sample": {"sample": "G14", "variable": "seed weight", "value": "19.8"},
    "add class": {"name": "small red"},
    "add container": {"code": "tote-9", "kind": "tote", "tare": "38.5"},
    "add cross": {"code": "Q26-01", "female": "QN-2104", "male": "QN-2117"},
    "add line": {"name": "QN-2601", "market_class": "navy", "cross": "Q19-04"},
    "add person": {"name": "bench-9", "role": "bench"},
    "add place": {"code": "A-09", "name": "rack A"},
    "add plant": {"plot": "HM25-T102"},
    "add plot": {
        "code": "QM26-I9", "line": "QN-2104", "site": "QM", "season": "2026", "is_block": True, "area": "2000",
        "area_unit": "m2",
    },
    "add site": {"code": "TF", "name": "Thornfold field"},
    "adjust": {"lot": "25-0016-8", "mass": "-1.5", "reason": "weighed again on the checked scale"},
    "bag": {"lot": "25-0018-4", "count": 20, "bag_mass": "25"},
    "bench sample": {"number": "G91", "lot": "25-0016-8", "mass": "2"},
    "blend": {
        "parts": [{"lot": "25-0014-5", "loose": "100"}, {"lot": "25-0016-8", "loose": "50"}], "place": "A-07",
        "reason": "one seed lot for the whole block", "answers": {"two_lines": "sold as navy beans, not as a line"},
    },
    "came from": {"line": "Coalmouse", "cross": "Q20-07", "reason": "found in the old book"},
    "change role": {"name": "bench-2", "role": "line", "reason": "moved to the plant"},
    "check tare": {"container": "box-1", "tare": "28.4"},
    "clean": {
        "number": "R91", "machines": "gravity", "feed_lot": "25-0019-2", "feed": "200", "is_cleaned_out": True,
        "outs": [{"mass": "188.4", "place": "T-4"}], "taken_off": {"lights": "10.9", "stones": "0.2"},
    },
    "colour": {
        "lot": "25-0016-8", "lightness": "68.4", "a": "2.7", "b": "14.0", "illuminant": "D65", "observer": "2",
    },
    "correct": {
        "act": "25-0008-1", "plots": ["HM25-T107", "HM25-T202", "HM25-T304"], "gross": "12.35", "tare": "0.10",
        "moisture": "15.1", "place": "D-4", "at": "2025-10-02", "reason": "a 3 was read as a 0",
    },
    "correct grade": {
        "corrects": "#333", "sample": "G14", "portion_g": "500", "weights_g": {"splits": "5.1"},
        "reason": "a dish was left out",
    },
    "count": {"place": "C-3", "found": [{"lot": "24-0008-9", "mass": "10.28"}]},
    "decide": {"line": "QN-2109", "verdict": "advance", "reason": "ahead of the check in both years"},
    "draft rules": {"document": _RULES},
    "discard file sample": {"sample": "G02", "reason": "older than two years"},
    "drill": {"ref": "24-0016-5", "reason": "yearly drill"},
    "dry": {"lot": "25-0012-1", "weighed": "12.0", "before": "15.4", "after": "14.6"},
    "feedback": {"who": "Tollhaven, grower", "said": "An even stand.", "shipment": "S1"},
    "field weight": {"plot": "QM25-I1", "mass": "1850", "is_estimate": True},
    "germination": {"number": "T91", "lot": "25-0016-8", "replicates": ["94", "96", "93", "95"], "mass": "0.3"},
    "grade": {
        "number": "G92", "lot": "25-0018-4", "mass": "2", "portion_g": "500", "weights_g": {"splits": "4.2"},
        "moisture_pct": "15.2",
    },
    "gs1 numbers": {"prefix": "9506000", "gtin": "9506000134352", "market_class": "navy"},
    "hold": {"lots": ["25-0016-8"], "reason": "smells musty"},
    "judge card": {"sample": "G10", "looks": {"ground_colour": "cream", "pattern": "clear", "hilum_ring": "even"}},
    "keep file sample": {"sample": "G11", "place": "C-8", "until": "2028-03-31"},
    "label": {"lots": ["25-0016-8"], "places": ["A-03"]},
    "late addition": {"run": "R17", "taken_off": {"throughs": "1.5"}, "reason": "a tote was found behind the legs"},
    "lift": {"lot": "24-0023-0", "reason": "sold as food"},
    "log weather": {"site": "QM", "days": [{"day": "2026-03-30", "low": "2.5", "high": "11"}]},
    "merge": {"line": "Palehull", "into": "Wrenlace", "reason": "one line under two names"},
    "moisture": {"lot": "25-0016-8", "moisture": "14.8"},
    "move": {"lot": "24-0006-6", "to": "C-7"},
    "note stage": {"plot": "QM25-I1", "stage": "maturity", "day": "2025-08-30"},
    "pack for sowing": {
        "entries": [{"lot": "24-0006-6", "plots": ["HM25-T307"], "grams": "120"}],
        "answers": {"sown_before": "sown again after hail"},
    },
    "pollinate": {"cross": "Q20-07", "buds": 24, "pods": 7, "seeds": 19},
    "promise": {"lot": "25-0019-2", "mass": "100", "recipient": "Tollhaven Growers' Shed"},
    "purity": {"lot": "25-0016-8", "working_g": "500.0", "inert_g": "0.4", "other_crop_g": "0.1"},
    "put rules in force": {
        "rule_set": "QM-DEMO", "edition": "2", "begins": "2026-12-01", "reason": "decided by the board",
    },
    "reassign": {
        "lot": "24-0011-1", "line": "QB-2108", "reason": "tags were swapped in the field",
        "answers": {"line_differs": "the tags were swapped before the harvest"},
    },
    "receive": {
        "plots": ["QM25-I2"], "gross": "642.0", "tare": "42.0", "moisture": "15.4", "place": "F-1",
    },
    "regrade plan": {"one_in": 20},
    "release promise": {"act": "#355", "reason": "they took another lot"},
    "rename": {"line": "QB-2112", "to": "Nightjar", "reason": "named for its release"},
    "return": {"shipment": "S1", "lot": "24-0021-7", "mass": "25", "place": "F-1", "reason": "one bag too many"},
    "reverse": {"act": "#356", "reason": "entered twice"},
    "run": {
        "number": "R93", "machines": "gravity", "feed_lot": "25-0014-5", "feed": "100",
        "outs": [{"mass": "94.6", "place": "T-1"}], "taken_off": {"lights": "5.0"},
    },
    "sample": {"lot": "25-0016-8", "mass": "2", "purpose": "canning"},
    "sample tag": {"samples": ["G12"]},
    "seed health": {"lot": "25-0016-8", "pathogen": "halo blight", "method": "grow-out", "tested": 1000, "found": 0},
    "seed limit": {"name": "halo blight", "most_pct": "0.5"},
    "seed weight": {"lot": "25-0016-8", "readings": ["17.4", "17.3", "17.5", "17.4", "17.6", "17.3", "17.4", "17.5"]},
    "ship": {
        "code": "S91", "recipient": "Tollhaven Growers' Shed", "items": [{"lot": "25-0014-5", "mass": "100"}],
    },
    "size": {
        "number": "R94", "machines": "sizing", "feed_lot": "25-0014-5", "feed": "100",
        "outs": [{"mass": "80.2", "place": "T-1"}, {"mass": "17.1", "place": "A-06"}],
        "taken_off": {"throughs": "2.4"},
    },
    "size curve": {
        "lot": "25-0016-8", "shape": "round",
        "screens": [
            {"screen": "18/64", "pct": "38.6"}, {"screen": "16/64", "pct": "52.1"}, {"screen": "pan", "pct": "9.3"},
        ],
    },
    "sort": {
        "number": "R95", "machines": "hand-pick", "feed_lot": "25-0014-5", "feed": "50",
        "outs": [{"mass": "49.2", "place": "T-1"}], "taken_off": {"picked": "0.7"},
    },
    "sow": {
        "lot": "24-0017-9", "plots": ["HM25-T102"], "mass": "0.1", "answers": {"sown_before": "sown again after hail"},
    },
    "split": {"lot": "25-0014-5", "pieces": [{"mass": "40", "place": "A-08"}]},
    "set tray": {"lot": "24-0019-8", "count_on": "2026-12-05"},
    "take file sample out": {"sample": "G12", "who": "bench-2"},
    "test": {"lot": "25-0018-4", "mass": "0.3", "purpose": "germination"},
    "tip": {"lot": "24-0019-8", "into": "2", "from_bag": "3", "mass": "1"},
    "treat": {
        "lot": "24-0013-3", "product": "Seed coat A", "dose": "3 mL per kg",
        "caution": "Wear gloves. Not for food or feed.",
    },
    "variety purity": {"lot": "25-0016-8", "looked_at": 1000, "off_types": 2, "counted": "plants"},
    "withdraw rules": {
        "rule_set": "US-MI-ADZUKI", "edition": "1998-2000 AACS", "ends": "2026-12-31", "reason": "no adzuki here",
    },
    "write off": {"lot": "24-0012-2", "mass": "0.5", "reason": "mice"},
}  # fmt: skip
# Two acts of which the second needs the first.
BULK: Mapping[str, Any] = {
    "mode": "atomic",
    "items": [
        {"client_id": "rack", "verb": "add place", "words": {"code": "A-12", "name": "rack A"}},
        {"client_id": "there", "verb": "move", "words": {"lot": "24-0006-6", "to": "A-12"}},
    ],
}
# A delivery as a sheet of text, with one thing to answer: its moisture is written as a fraction.
SHEET: Mapping[str, Any] = {
    "file_name": "one_more.csv", "kind": "intake",
    "text": "Date;Plot;Net;Moist;Bin\n2025-11-28;QM25-I2;512.4;0.154;F-1\n",
}  # fmt: skip
ANSWERS: Mapping[str, Any] = {"answers": [{"row": 2, "column": "Moist", "answer": "accept", "reason": "a fraction"}]}
# One of each list that is in the demo season.
NAMES: Mapping[str, str] = {
    "lots": "24-0017-9", "bags": "24-0019-8/5", "stock": "6", "operations": "12", "places": "A-03",
    "containers": "box-1", "lines": "QN-2104", "crosses": "Q19-04", "plots": "QM25-I1", "samples": "G03",
    "portions": "1", "seed-tests": "T01", "holds": "1", "shipments": "S1", "rule-sets": "QM-DEMO",
    "sheet-kinds": "intake",
    "sheets": sha256(SHEET["text"].encode()).hexdigest(), "loads": "L12",
    "runs": "R01", "sites": "QM", **dict.fromkeys(("receipts", "moistures", "promises", "decisions", "field-weights",
                                                   "sizes", "colours", "seed-weights"), "1"),
    **dict.fromkeys(("treatments", "pollinations", "purity-tests", "health-tests", "variety-tests", "trays",
                     "file-samples", "card-judgements", "photos", "measurements", "seed-limits", "weather",
                     "plot-stages", "feedback", "labels", "senders", "line-names", "classes"), "1"),
    "plants": "HM25-T102-P1",
    "notes": "019abf00-0000-7000-8000-000000000000",
    "devices": "bench-scale",
    **dict.fromkeys(("jobs", "readings", "webhooks", "deliveries"), "01890a5d-ac96-774b-bcce-b302099a8057"),
}  # fmt: skip
PORTION: Mapping[str, Any] = {
    "rule_set": "QM-DEMO", "class": "navy", "portion_g": "500.0", "weights_g": {"splits": "4.2", "stones": "0.3"},
}  # fmt: skip
