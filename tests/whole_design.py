"""A small rocket that states a table of every name, and for every field of every table a value that it may have too.

Everything in it is invented.
"""

from __future__ import annotations

import copy
import json
from collections.abc import Mapping
from typing import Any

from pydantic import BaseModel

from ferrule.app.entries import (
    AllowancesEntry,
    AnchorEntry,
    BalanceEntry,
    HardwareEntry,
    HarnessEntry,
    HeadEntry,
    JointEntry,
    MarginEntry,
    MassEntry,
    MotorEntry,
    ParachuteEntry,
    PayloadEntry,
    PlaceEntry,
    RailEntry,
    SettingsEntry,
    SheetEntry,
    StockEntry,
    TubeEntry,
    WeighedEntry,
)
from ferrule.app.flight_entries import DragEntry, LaunchEntry, LoadsEntry
from ferrule.app.machine_file import CutterEntry, PrinterEntry

Tables = dict[str, Any]

MODELS: dict[str, type[BaseModel]] = {
    "": HeadEntry,
    "settings": SettingsEntry,
    "tube": TubeEntry,
    "part": PlaceEntry,
    "joint": JointEntry,
    "anchor": AnchorEntry,
    "harness": HarnessEntry,
    "parachute": ParachuteEntry,
    "payload": PayloadEntry,
    "hardware": HardwareEntry,
    "mass": MassEntry,
    "motor": MotorEntry,
    "allowances": AllowancesEntry,
    "stock": StockEntry,
    "sheet": SheetEntry,
    "weighed": WeighedEntry,
    "balance": BalanceEntry,
    "rail": RailEntry,
    "launch": LaunchEntry,
    "drag": DragEntry,
    "loads": LoadsEntry,
    "margin": MarginEntry,
    "printer": PrinterEntry,
    "cutter": CutterEntry,
}
"""The tables of a design file by their names; the head has none."""

THRUST = "time_s,thrust_N\n0,0\n0.1,40\n1.1,0\n"

BASE: Tables = {
    "": {"format": 1, "name": "Whole", "note": "invented"},
    "settings": {"units": "mm", "revision": "A"},
    "tube": [
        {
            "name": "tube",
            "outside": ["68.42 mm", "68.38 mm"],
            "inside": ["65.92 mm", "65.88 mm"],
            "length": "600 mm",
            "station": "250 mm",
            "material": "kraft-tube",
        },
        {
            "name": "motor tube",
            "outside": ["31 mm"],
            "inside": ["29.2 mm"],
            "length": "200 mm",
            "station": "650 mm",
            "use": "motor",
            "material": "kraft-tube",
        },
        {"name": "spare", "outside": ["68.4 mm"], "inside": ["65.9 mm"], "length": "90 mm"},
    ],
    "part": [
        {
            "name": "ring",
            "kind": "centering-ring",
            "fits": "tube",
            "around": "motor tube",
            "stations": ["660 mm", "820 mm"],
            "thickness": "6 mm",
            "material": "birch-plywood",
        },
        {
            "name": "nose",
            "kind": "nose-cone",
            "fits": "tube",
            "profile": "cone",
            "length": "250 mm",
            "shoulder_length": "66 mm",
            "material": "petg",
        },
        {
            "name": "fin",
            "kind": "fin",
            "fits": "tube",
            "around": "motor tube",
            "station": "680 mm",
            "count": 4,
            "root_chord": "120 mm",
            "tip_chord": "60 mm",
            "semi_span": "60 mm",
            "sweep_length": "50 mm",
            "thickness": "4 mm",
            "tab_length": "90 mm",
            "tab_position": "15 mm",
            "material": "birch-plywood",
        },
    ],
    "joint": [
        {"between": ["nose", "tube"], "state": "releases", "by": "friction"},
        {"between": ["tube", "ring"], "state": "glued"},
    ],
    "anchor": [{"name": "eye", "on": "ring", "item": "M5 eyebolt", "mass": "15 g", "station": "655 mm"}],
    "harness": [{"name": "cord", "anchors": ["eye"], "mass": "30 g", "station": "400 mm"}],
    "parachute": [
        {
            "name": "canopy",
            "harness": "cord",
            "diameter": "0.9 m",
            "drag_coefficient": 0.75,
            "mass": "90 g",
            "station": "420 mm",
        }
    ],
    "payload": [{"name": "logger", "mass": "85 g", "station": "330 mm"}],
    "hardware": [{"name": "screws", "count": 3, "mass": "1.2 g", "station": "284 mm"}],
    "mass": [{"name": "pin", "mass": "2 g", "station": "500 mm"}],
    "motor": [
        {
            "name": "M",
            "fits": "motor tube",
            "diameter": "29 mm",
            "length": "180 mm",
            "aft_end": "855 mm",
            "loaded_mass": "120 g",
            "empty_mass": "60 g",
            "thrust": "thrust.csv",
        }
    ],
    "allowances": {"glue": "20 g", "glue_station": "700 mm", "paint": "100 g/m2"},
    "stock": [{"name": "long", "lengths": ["1 m"], "pieces": ["tube"]}],
    "sheet": [{"name": "ply", "material": "birch-plywood", "thickness": "6 mm", "width": "300 mm", "length": "300 mm"}],
    "weighed": [{"part": "nose", "mass": "70 g"}],
    "balance": [{"mass": "600 g", "cg": "500 mm"}],
    "rail": {"length": "2 m"},
    "launch": {"altitude": "20 m"},
    "drag": {"roughness": "60 um"},
    "loads": {"opening_factor": 10},
    "margin": {"fail_below": 1.0, "source": "the club's rules"},
    "printer": {"bench": {"width": "220 mm", "depth": "220 mm", "height": "300 mm"}},
    "cutter": {"laser": {"width": "600 mm", "depth": "300 mm"}},
}
"""Every table once at least; what changes below is a field of the first of its name."""

_COEFFICIENT = {"coefficient": 0.6, "reference_diameter": "68.4 mm", "source": "measured", "roughness": None}
_OPENED = {"opening_force": "150 N", "opening_force_from": "the maker's sheet"}

CHANGES: dict[str, dict[str, Mapping[str, Any]]] = {
    "": {"format": {}, "name": {"name": "Hole"}, "note": {"note": "made up"}},
    "settings": {
        "units": {"units": "in"},
        "printer": {"printer": "bench"},
        "cutter": {"cutter": "laser"},
        "revision": {"revision": "B"},
        "date": {"date": "2030-01-31"},
        "limits": {"limits": "two-calibres"},
    },
    "tube": {
        "name": {"name": "other"},
        "outside": {"outside": ["68.42 mm", "68.37 mm"]},
        "inside": {"inside": ["65.92 mm", "65.87 mm"]},
        "outside_forward": {"outside_forward": ["68.4 mm"]},
        "outside_aft": {"outside_aft": ["68.4 mm"]},
        "inside_forward": {"inside_forward": ["65.9 mm"]},
        "inside_aft": {"inside_aft": ["65.9 mm"]},
        "wall": {"wall": ["1.25 mm"]},
        "strip": {"strip": ["215.2 mm"], "strip_thickness": "0.1 mm"},
        "strip_thickness": {"strip": ["215.2 mm"], "strip_thickness": "0.12 mm"},
        "length": {"length": "601 mm"},
        "station": {"station": "250.5 mm"},
        "use": {"use": "coupler"},
        "vents": {"vents": ["440 mm"], "vent_diameter": "4 mm"},
        "vent_diameter": {"vents": ["440 mm"], "vent_diameter": "5 mm"},
        "vent_roll": {"vents": ["440 mm"], "vent_diameter": "4 mm", "vent_roll": "30 deg"},
        "material": {"material": "phenolic-paper"},
        "density": {"density": "0.9 g/cm3"},
        "mass": {"mass": "100 g"},
    },
    "part": {
        "name": {"name": "plate"},
        "kind": {"kind": "bulkhead", "around": None},
        "fits": {"fits": "spare"},
        "around": {"around": None, "inside_diameter": "31.5 mm"},
        "station": {"station": "660 mm", "stations": None},
        "stations": {"stations": ["660 mm", "821 mm"]},
        "fit": {"fit": "slip"},
        "process": {"process": "hand"},
        "clearance": {"clearance": "0.3 mm"},
        "made_on": {"made_on": "laser"},
        "count": {},
        "mass": {"mass": "9 g"},
    },
    "joint": {
        "between": {"between": ["nose", "ring"]},
        "state": {"state": "screwed"},
        "by": {"by": "tape"},
        "screw_length": {"state": "screwed", "screw_length": "8 mm"},
        "pins": {"pins": 3, "pin_size": "#2-56"},
        "pin_size": {"pins": 3, "pin_size": "#4-40"},
        "holding_force": {"holding_force": "80 N"},
        "opening_force": {**_OPENED, "opening_force": "151 N"},
        "opening_force_from": _OPENED,
    },
    "anchor": {
        "name": {"name": "bolt"},
        "mass": {"mass": "16 g"},
        "station": {"station": "656 mm"},
        "item": {"item": "M6 eyebolt"},
        "on": {"on": "nose"},
        "material": {"material": "steel"},
        "rating": {"rating": "2 kN"},
    },
    "harness": {
        "name": {"name": "rope"},
        "mass": {"mass": "31 g"},
        "station": {"station": "401 mm"},
        "anchors": {"anchors": ["eye", "eye"]},
        "length": {"length": "3 m"},
        "strength": {"strength": "4 kN"},
    },
    "parachute": {
        "name": {"name": "sheet of nylon"},
        "mass": {"mass": "91 g"},
        "station": {"station": "421 mm"},
        "diameter": {"diameter": "0.8 m"},
        "drag_coefficient": {"drag_coefficient": 0.8},
        "drag_area": {"drag_area": "projected"},
        "descent": {"descent": "5 m/s"},
        "harness": {"harness": None},
        "packed_length": {"packed_length": "150 mm"},
    },
    "payload": {
        "name": {"name": "camera"},
        "mass": {"mass": "86 g"},
        "station": {"station": "331 mm"},
        "length": {"length": "90 mm"},
        "diameter": {"length": "90 mm", "diameter": "40 mm"},
        "greatest_g": {"greatest_g": 50},
    },
    "hardware": {
        "name": {"name": "nuts"},
        "mass": {"mass": "1.3 g"},
        "station": {"station": "285 mm"},
        "item": {"item": "M5 hex nut"},
        "count": {"count": 4},
    },
    "mass": {"name": {"name": "peg"}, "mass": {"mass": "3 g"}, "station": {"station": "501 mm"}},
    "motor": {
        "name": {"name": "N"},
        "diameter": {"diameter": "28.9 mm"},
        "length": {"length": "179 mm"},
        "aft_end": {"aft_end": "856 mm"},
        "loaded_mass": {"loaded_mass": "121 g"},
        "empty_mass": {"empty_mass": "61 g"},
        "loaded_cg": {"loaded_cg": "90 mm"},
        "empty_cg": {"empty_cg": "80 mm"},
        "fits": {"fits": None},
        "thrust": {"thrust": None},
        "delays": {"delays": ["5 s", "7 s"]},
        "delay_tolerance": {"delay_tolerance": "1 s"},
    },
    "allowances": {
        "glue": {"glue": "21 g"},
        "glue_station": {"glue_station": "701 mm"},
        "glue_film": {"glue": None, "glue_station": None, "glue_film": "200 g/m2"},
        "paint": {"paint": "101 g/m2"},
    },
    "stock": {
        "name": {"name": "short"},
        "lengths": {"lengths": ["2 m"]},
        "pieces": {"pieces": ["tube", "spare"]},
        "kerf": {"kerf": "1 mm"},
    },
    "sheet": {
        "name": {"name": "board"},
        "material": {"material": "g10"},
        "thickness": {"thickness": "6.1 mm"},
        "width": {"width": "301 mm"},
        "length": {"length": "301 mm"},
        "grain": {"grain": "length"},
        "margin": {"margin": "6 mm"},
        "gap": {"gap": "3 mm"},
        "quantity": {"quantity": 2},
    },
    "weighed": {
        "fingerprint": {"fingerprint": "1a2b-3c4d-5e6f"},
        "note": {"note": "kitchen scale"},
        "date": {"date": "2030-01-31"},
        "part": {"part": "fin"},
        "mass": {"mass": "71 g"},
        "masses": {"mass": None, "masses": ["70.5 g"]},
        "balance": {"balance": "150 mm"},
    },
    "balance": {
        "fingerprint": {"fingerprint": "1a2b-3c4d-5e6f"},
        "note": {"note": "on an edge"},
        "date": {"date": "2030-01-31"},
        "mass": {"mass": "601 g"},
        "cg": {"cg": "501 mm"},
        "motor": {"motor": "M"},
    },
    "rail": {"length": {"length": "3 m"}, "stand_off": {"stand_off": "200 mm"}},
    "launch": {
        "altitude": {"altitude": "30 m"},
        "temperature": {"temperature": "25 degC"},
        "tilt": {"tilt": "5 deg"},
        "winds": {"winds": ["3 m/s"]},
        "ceiling": {"ceiling": "900 m"},
        "field": {"field": "800 m"},
    },
    "drag": {
        "roughness": {"roughness": "61 um"},
        "coefficient": {**_COEFFICIENT, "coefficient": 0.7},
        "reference_diameter": {**_COEFFICIENT, "reference_diameter": "70 mm"},
        "reference_area": {**_COEFFICIENT, "reference_diameter": None, "reference_area": "3700 mm2"},
        "source": {**_COEFFICIENT, "source": "known"},
        "spread": {"spread": "10 %"},
        "thrust_spread": {"thrust_spread": "5 %"},
        "mass_spread": {"mass_spread": "5 %"},
    },
    "loads": {
        "opening_factor": {"opening_factor": 12},
        "gust": {"gust": "6 m/s"},
        "glue_shear": {"glue_shear": "8 MPa"},
    },
    "margin": {
        "fail_below": {"fail_below": 1.1},
        "warn_below": {"warn_below": 1.5},
        "warn_above": {"warn_above": 3.0},
        "source": {"source": "the field's rules"},
    },
    "printer": {
        "width": {"width": "221 mm"},
        "depth": {"depth": "221 mm"},
        "height": {"height": "301 mm"},
        "nozzle": {"nozzle": "0.4 mm"},
        "outside": {"outside": "0.1 mm"},
        "hole": {"hole": "0.1 mm"},
        "shrinkage": {"shrinkage": {"petg": 0.003}},
    },
    "cutter": {
        "width": {"width": "601 mm"},
        "depth": {"depth": "301 mm"},
        "kerf": {"kerf": "0.2 mm"},
        "kerf_for": {"kerf_for": {"g10": "0.3 mm"}},
    },
}
"""For each field of each table what is stated otherwise to change it, in the first table; None takes a field out.

Nothing: there is but one value (the format), or it is not of the first part but of the fins (their count).
"""


def text_of(value: Any) -> str:
    """A value as TOML."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (float, int)):
        return str(value)  # nan and inf are words of TOML too
    if isinstance(value, (list, tuple)):
        return f"[{', '.join(text_of(one) for one in value)}]"
    if isinstance(value, dict):
        return "{" + ", ".join(f"{json.dumps(key)} = {text_of(one)}" for key, one in value.items()) + "}"
    # Quoted as JSON is, but that TOML knows no pairs of surrogates.
    return json.dumps(str(value), ensure_ascii=False).replace("\x7f", "\\u007F")


def written(tables: Mapping[str, Any]) -> str:
    """A design as TOML."""
    lines: list[str] = []

    def table(head: str, fields: Mapping[str, Any]) -> None:
        lines.extend([head] if head else [])
        lines.extend(f"{key} = {text_of(value)}" for key, value in fields.items())

    for name, found in tables.items():
        if isinstance(found, list):
            for one in found:
                table(f"[[{name}]]", one)
        elif name in ("printer", "cutter"):
            for machine, fields in found.items():
                table(f"[{name}.{text_of(machine)}]", fields)
        else:
            table(f"[{name}]" if name else "", found)
    return "\n".join(lines) + "\n"


def renamed(old: str, new: str) -> str:
    """The tables above as TOML with a thing called otherwise, wherever it is named."""
    return written(BASE).replace(f'"{old}"', f'"{new}"')


def changed(name: str, change: Mapping[str, Any], where: int = 0) -> Tables:
    """The tables above with other fields in the first table of a name; a field that is None is taken out.

    Args:
        name: name of the table.
        change: fields.
        where: which of the tables of that name, from 0.
    """
    tables = copy.deepcopy(BASE)
    table = tables[name]
    if isinstance(table, list):
        table = table[where]
    elif name in ("printer", "cutter"):
        table = next(iter(table.values()))
    table.update(change)
    for key in [key for key, value in table.items() if value is None]:
        del table[key]
    return tables
