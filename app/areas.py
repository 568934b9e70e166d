"""What is painted and what is glued: each area with its sum, as plain data and for the report."""

from __future__ import annotations

from typing import Any

from ..analysis.allowances import painted_faces
from .design import Design
from .lengths import Lengths
from .markdown_table import NOT_STATED, length, number, table


def painted_figures(design: Design) -> dict[str, Any]:
    """All that is outside with its area and centroid, and the paint on it; no faces where there is nothing outside."""
    faces = painted_faces(design.rocket)
    area, areal = sum(face.area for face in faces), design.allowances.paint
    return {
        "area_mm2": area,
        "station_mm": sum(face.area * face.station for face in faces) / area if area else None,
        "paint_g_per_m2": areal,
        "paint_g": None if areal is None else area * areal / _M2,
        "faces": [
            {"item": face.name, "what": face.what, "area_mm2": face.area, "station_mm": face.station} for face in faces
        ],
    }


def bonded_figures(design: Design) -> list[dict[str, Any]]:
    """Every glued joint with the area that its parts share; None where no face was found."""
    film = design.allowances.glue_film
    return [
        {
            "between": list(joint.between),
            "name": joint.words,
            "area_mm2": joint.area if joint.faces else None,
            "station_mm": joint.station,
            "sum_mm2": joint.sum or None,
            "glue_g_per_m2": film,
            "glue_g": joint.area * film / _M2 if film is not None and joint.faces else None,
        }
        for joint in design.bonded
    ]


def glue_notes(design: Design) -> list[str]:
    """What the allowances for glue count and leave out, so that no one counts it twice or not at all."""
    lump, film = design.allowances.glue is not None, design.allowances.glue_film is not None
    laid = [item.name for item in design.rocket.items if item.part and item.part.laid_at_the_bench]
    notes = []
    if laid and (lump or film):
        counted = "the allowance is for all other glue" if lump else "the film is on the faces beside them"
        notes.append(f"glue: {', '.join(laid)} count by their own shape; {counted}")
    if film:
        notes.append(f"glue film: {FILM}")
    if lump and film:
        notes.append(
            "glue: `glue` and `glue_film` add up; `glue` is then for what is no film, such as fillets on rings"
        )
    unknown = [" to ".join(joint.between) for joint in design.bonded if not joint.faces]
    if film and unknown:
        notes.append(f"glue film: no face is found that these share, so no film counts there: {', '.join(unknown)}")
    return notes


FILM = (
    "one film between the two faces of each joint that is stated as glued, an estimate that may be off by half; "
    "fillets beside rings and bulkheads and what is squeezed out come on top, and often weigh more"
)


def areas_section(figures: dict[str, Any], lengths: Lengths) -> str:
    """Painted and glued areas with their sums; empty where there are none."""
    parts = [_painted(figures["painted"], lengths), _bonded(figures["bonded"], lengths)]
    found = [part for part in parts if part]
    return "\n\n".join(("## Painted and glued areas", *found)) if found else ""


def _painted(painted: dict[str, Any], lengths: Lengths) -> str:
    if not painted["faces"]:
        return ""
    areal = painted["paint_g_per_m2"]
    rows = [
        (f"{face['item']}: {face['what']}", _cm2(face["area_mm2"]), length(lengths, face["station_mm"]))
        for face in painted["faces"]
    ]
    rows.append(
        ("**all that is painted**", f"**{_cm2(painted['area_mm2'])}**", f"**{length(lengths, painted['station_mm'])}**")
    )
    words = "No paint is stated."
    if areal is not None:
        sum_words = f"{_cm2(painted['area_mm2'])} cm2 x {areal:g} g/m2 = {painted['paint_g']:.1f} g"
        words = f"{sum_words} of paint, an estimate that may be off by half."
    head = ("Painted", "Area [cm2]", f"Centroid [{lengths.first}]")
    return f"{table(head, rows)}\n\n{words} Fins count with both faces and their rim; steps in the skin do not count."


def _bonded(bonded: list[dict[str, Any]], lengths: Lengths) -> str:
    if not bonded:
        return ""
    film = bonded[0]["glue_g_per_m2"]
    rows = [
        (
            one["name"],
            one["sum_mm2"] or "no face is found that the two share",
            NOT_STATED if one["area_mm2"] is None else _cm2(one["area_mm2"]),
            length(lengths, one["station_mm"]),
            *(() if film is None else (number(one["glue_g"], 2),)),
        )
        for one in bonded
    ]
    areas = [one["area_mm2"] for one in bonded if one["area_mm2"] is not None]
    total = sum(areas)
    masses = () if film is None else (f"**{total * film / _M2:.2f}**",)
    rows.append(("**all of these**", "", f"**{_cm2(total)}**", "", *masses))
    head = ("Glued", "Sum [mm2]", "Area [cm2]", f"Centroid [{lengths.first}]", *(() if film is None else ("Glue [g]",)))
    words = "No film of glue is stated." if film is None else f"{film:g} g/m2: {FILM}."
    return f"{table(head, rows)}\n\n{words} Only joints that are stated as glued stand here."


def _cm2(area: float) -> str:
    return f"{area / 100.0:.1f}"


_M2 = 1e6
"""Square millimetres in a square metre."""
