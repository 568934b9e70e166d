"""How a solid nose is filled when it is printed, so that its mass is not that of a block of plastic."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from ..errors import PartError
from ..params import Count, Length, Ratio
from ..part import Part


class NoseInfill(Part):
    """The fields of a solid print that is filled in part."""

    infill: Annotated[
        Ratio | None,
        Field(
            ge=0, le=1, description="solid body: share of the core that is printed, such as 0.15; full if not stated"
        ),
    ] = None
    perimeters: Annotated[Count, Field(ge=1, le=20, description="solid body with infill: lines round the outside")] = 4
    line_width: Annotated[Length, Field(gt=0, le=5, description="solid body with infill: width of one line")] = 0.4
    top_bottom: Annotated[
        Length, Field(ge=0, le=20, description="solid body with infill: thickness of the flat top and bottom layers")
    ] = 1.2

    @property
    def shell(self) -> float:
        """Thickness of the perimeters together [mm]."""
        return self.perimeters * self.line_width

    def check_infill(self, body: str) -> None:
        """Whether a body for which infill is stated has a core.

        Raises:
            PartError: it has none.
        """
        if self.infill is not None and body != "solid":
            raise PartError("infill: a hollow body is printed as its wall says; leave it out, or say body = solid")
