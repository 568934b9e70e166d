"""The inside of a wall of constant thickness under a profile: its true normal offset, trimmed."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache, partial
from typing import TypeAlias

import numpy as np

from .chain import JOIN_TOLERANCE, Chain, fit, offset_curve, started_at
from .curve import Arc, Floats, Line, Piece, bisect, crowded, normals
from .errors import PartError

_SHORTEST = 1e-6
"""Shorter stretches [mm] are left out: they are the rounding of a fit, and the kernel knows points to 1e-7 mm."""

_IN_PLANE = 1e-7
"""A point this near to the plane of the base [mm] is in it."""

_SMOOTH = 1e-4
"""Pieces of a skin whose directions differ by less [rad], or the ends of their offsets [mm], have no corner there.

The directions of fitted pieces differ in the fifth or sixth digit. That moves the ends of their offsets along the
offset, not square to it, so they are drawn together without coming nearer to the skin.
"""

_NEARER = 1e-5
"""How much less than the wall [mm] a result may be away from the skin before it is refused."""

_SAMPLES = crowded(401)
"""Crowded towards the ends: the offset of a Haack body leaves the plane of the base within micrometres of its end."""


@lru_cache(maxsize=128)
def inner_profile(outer: Chain, wall: float) -> Chain:
    """Inside of a wall of constant thickness: the true normal offset of a nose profile, trimmed.

    The offset folds where the skin is bent more sharply than the wall is thick, as at a round tip smaller than the
    wall; beyond a corner, such as the rim of a flat tip, the offsets of its two sides cross. So the inside is followed
    from the base forward, and passes to another stretch of the offset where it first meets one; the inner apex is
    where it first meets the axis. At the base it ends in the plane of the base, or runs on along its tangent to that
    plane where a bulging profile's offset falls short of it.

    Args:
        outer: profile from the tip on the axis to the base; its corners bulge outwards.
        wall: thickness square to the skin [mm], above 0.

    Returns:
        Chain from the inner apex on the axis to the plane of the base; every point is `wall` from the skin, within
        1e-5 mm, and none is nearer.

    Raises:
        PartError: the wall leaves no cavity, or the inside folds in a way that cannot be trimmed.
    """
    base_x = outer[-1].end[0]
    runs = _runs((*outer, *_run_on(outer[-1], wall)), wall)
    path = _followed(runs, _base_place(runs, base_x), wall)
    pieces = _joined([piece for stretch in path for piece in stretch.pieces()])
    if not pieces or pieces[0].start[0] >= base_x:
        raise PartError(_no_room(wall))
    pieces[-1] = started_at(pieces[-1].reversed(), (base_x, pieces[-1].end[1])).reversed()
    _check_clear(tuple(pieces), outer, wall)
    return tuple(pieces)


def _no_room(wall: float) -> str:
    return f"wall: {wall:g} mm leaves no room inside the profile"


def _folds(wall: float) -> str:
    return f"wall: {wall:g} mm is more than the profile's own curvature allows; the inside would fold"


@dataclass(frozen=True, slots=True)
class _Stretch:
    """The offset of a piece of the skin between two of its parameters, all of it running the way of the skin."""

    piece: Piece
    wall: float
    first: float
    last: float

    def at(self, t: Floats) -> Floats:
        """Positions (n, 2) [mm] at parameters of the skin's piece."""
        return offset_curve(self.piece, -self.wall)(t)

    def parameters(self) -> Floats:
        return self.first + (self.last - self.first) * _SAMPLES

    def pieces(self) -> list[Piece]:
        """Lines and arcs as they are, the others fitted."""
        if isinstance(self.piece, (Line, Arc)):
            return [self.piece.offset(-self.wall).part(self.first, self.last)]
        return list(fit(self.at, self.first, self.last))


_Run: TypeAlias = tuple[_Stretch, ...]
"""Stretches that go on from one another without a corner or a fold."""

_Place: TypeAlias = tuple[int, int, float]
"""Run, stretch in it, parameter: they sort along the skin."""


def _runs(outer: Chain, wall: float) -> list[_Run]:
    """The stretches of the offset that run forward, those that go on from one another together."""
    runs: list[list[_Stretch]] = []
    reached: Piece | None = None
    for piece in outer:
        found = _forward(piece, wall)
        for stretch in found:
            if reached is not None and stretch.first == 0.0 and _goes_on(reached, piece, wall):
                runs[-1].append(stretch)
            else:
                runs.append([stretch])
            reached = piece if stretch.last == 1.0 else None
        if not found:
            reached = None
    return [tuple(run) for run in runs]


def _forward(piece: Piece, wall: float) -> list[_Stretch]:
    if isinstance(piece, Line):
        return [_Stretch(piece, wall, 0.0, 1.0)]
    if isinstance(piece, Arc):
        inside = piece.sweep < 0.0 and piece.radius - wall < _SHORTEST
        return [] if inside else [_Stretch(piece, wall, 0.0, 1.0)]
    steps = np.diff(offset_curve(piece, -wall)(_SAMPLES), axis=0)
    ahead = np.einsum("ij,ij->i", steps, piece.slope((_SAMPLES[:-1] + _SAMPLES[1:]) / 2.0)) > 0.0
    turns = np.flatnonzero(np.diff(np.concatenate([[False], ahead, [False]]).astype(int)))
    return [
        _Stretch(piece, wall, float(_SAMPLES[a]), float(_SAMPLES[b]))
        for a, b in zip(turns[::2], turns[1::2], strict=True)
    ]


def _goes_on(before: Piece, after: Piece, wall: float) -> bool:
    step = normals(after, np.array([0.0]))[0] - normals(before, np.array([1.0]))[0]
    return min(wall, 1.0) * float(np.hypot(*step)) <= _SMOOTH


def _run_on(last: Piece, wall: float) -> Chain:
    """A straight end for a skin that narrows towards its base: its offset falls short of the plane of the base."""
    end = np.array([1.0])
    short = wall * float(normals(last, end)[0, 0])
    if short <= _IN_PLANE:
        return ()
    x, r = last.end
    along = last.slope(end)[0]
    step = 2.0 * short / float(along[0])
    return (Line((x, r), (x + step * float(along[0]), r + step * float(along[1]))),)


def _base_place(runs: list[_Run], base_x: float) -> _Place | None:
    """Where the offset passes the plane of the base nearest to the axis; None where no part of it does."""
    found: list[tuple[float, _Place]] = []
    for i, run in enumerate(runs):
        for j, stretch in enumerate(run):
            t = stretch.parameters()
            x = stretch.at(t)[:, 0] - base_x
            for k in np.flatnonzero((x[:-1] < 0.0) & (x[1:] >= 0.0)):
                place = bisect(partial(_ahead_of, stretch, base_x), float(t[k]), float(t[k + 1]))
                found.append((_height(stretch, place), (i, j, place)))
    if runs:
        # A skin that is tangent to the tube has an offset that ends in the plane, but for rounding.
        stretch = runs[-1][-1]
        if abs(_ahead_of(stretch, base_x, stretch.last)) <= _IN_PLANE:
            found.append((_height(stretch, stretch.last), (len(runs) - 1, len(runs[-1]) - 1, stretch.last)))
    return min(found, default=(0.0, None))[1]


def _ahead_of(stretch: _Stretch, x: float, t: float) -> float:
    return float(stretch.at(np.array([t]))[0, 0]) - x


def _height(stretch: _Stretch, t: float) -> float:
    return float(stretch.at(np.array([t]))[0, 1])


def _followed(runs: list[_Run], start: _Place | None, wall: float) -> list[_Stretch]:
    """The offset from the base forward to the axis, given from the axis to the base.

    Raises:
        PartError: there is none, or it ends in the open.
    """
    if start is None or _height(runs[start[0]][start[1]], start[2]) <= 0.0:
        raise PartError(_no_room(wall))
    place = start
    path: list[_Stretch] = []
    while True:
        run_index, last, end = place
        run = runs[run_index]
        begin, after = _latest_stop(runs, place)
        for j in range(last, begin[1] - 1, -1):
            first_t = begin[2] if j == begin[1] else run[j].first
            last_t = end if j == last else run[j].last
            if last_t - first_t > 1e-12:
                path.append(_Stretch(run[j].piece, wall, first_t, last_t))
        if after is not None:
            place = after
            continue
        if abs(_height(run[begin[1]], begin[2])) > 2.0 * _SHORTEST:
            raise PartError(_folds(wall))
        return path[::-1]


def _latest_stop(runs: list[_Run], place: _Place) -> tuple[_Place, _Place | None]:
    """The last place before another at which the offset meets the axis or another run, and where it goes on there."""
    run_index, last, end = place
    best: tuple[_Place, _Place | None] = ((run_index, 0, runs[run_index][0].first), None)
    for j in range(last, -1, -1):
        stretch = runs[run_index][j]
        stop = end if j == last else stretch.last
        meetings: list[tuple[_Place, _Place | None]] = [
            ((run_index, j, t), None) for t in _axis_crossings(stretch) if t < stop
        ]
        for i in range(run_index):
            for k, other in enumerate(runs[i]):
                meetings += [((run_index, j, t), (i, k, s)) for t, s in _crossings(stretch, other) if t < stop]
        if meetings:
            return max(meetings, key=lambda one: one[0][2])
    return best


def _axis_crossings(stretch: _Stretch) -> list[float]:
    t = stretch.parameters()
    r = stretch.at(t)[:, 1]
    rising = np.flatnonzero((r[:-1] < 0.0) & (r[1:] >= 0.0))
    return [bisect(partial(_height, stretch), float(t[k]), float(t[k + 1])) for k in rising]


@lru_cache(maxsize=2048)
def _box(stretch: _Stretch) -> tuple[float, float, float, float]:
    """Smallest x and r, largest x and r [mm]: kept, for a long table has many stretches that do not meet."""
    points = stretch.at(stretch.parameters())
    low, high = points.min(axis=0), points.max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def _crossings(first: _Stretch, second: _Stretch) -> list[tuple[float, float]]:
    """Parameters (in the first, in the second) where two stretches of the offset cross."""
    a, b = _box(first), _box(second)
    if a[0] > b[2] or b[0] > a[2] or a[1] > b[3] or b[1] > a[3]:
        return []
    t, s = first.parameters(), second.parameters()
    p, q = first.at(t), second.at(s)
    u, v = np.diff(p, axis=0)[:, None, :], np.diff(q, axis=0)[None, :, :]
    between = q[None, :-1, :] - p[:-1, None, :]
    turn = _cross(u, v)
    with np.errstate(divide="ignore", invalid="ignore"):
        along, other = _cross(between, v) / turn, _cross(between, u) / turn
    # A little over the ends of each chord, for the curve lies beside its chords.
    near = (along > -0.05) & (along < 1.05) & (other > -0.05) & (other < 1.05)
    found = []
    for i, j in np.argwhere(near):
        guess = (t[i] + (t[i + 1] - t[i]) * along[i, j], s[j] + (s[j + 1] - s[j]) * other[i, j])
        place = _refined(first, second, float(guess[0]), float(guess[1]))
        if place is not None:
            found.append(place)
    return found


def _cross(a: Floats, b: Floats) -> Floats:
    return np.asarray(a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0])


def _refined(first: _Stretch, second: _Stretch, t: float, s: float) -> tuple[float, float] | None:
    """Newton's method from a near guess; None where it does not lead to a shared point."""
    for _ in range(20):
        a, u = _place_and_slope(first, t)
        b, v = _place_and_slope(second, s)
        gap, turn = b - a, float(_cross(u, v))
        if turn == 0.0:
            return None
        dt, ds = float(_cross(gap, v)) / turn, float(_cross(gap, u)) / turn
        t = min(max(t + dt, first.first), first.last)
        s = min(max(s + ds, second.first), second.last)
        if abs(dt) + abs(ds) < 1e-15:
            break
    away = first.at(np.array([t]))[0] - second.at(np.array([s]))[0]
    return (t, s) if float(np.hypot(*away)) <= 1e-9 else None


def _place_and_slope(stretch: _Stretch, t: float) -> tuple[Floats, Floats]:
    low, high = max(t - 1e-6, stretch.first), min(t + 1e-6, stretch.last)
    points = stretch.at(np.array([low, t, high]))
    return points[1], (points[2] - points[0]) / (high - low)


def _joined(pieces: list[Piece]) -> list[Piece]:
    """The pieces without the shortest, drawn together where they meet."""
    kept = [piece for piece in pieces if piece.length() > _SHORTEST]
    kept[:1] = [_on_axis(piece) for piece in kept[:1]]
    for index in range(1, len(kept)):
        before, after = kept[index - 1], kept[index]
        (x0, r0), (x1, r1) = before.end, after.start
        middle = ((x0 + x1) / 2.0, (r0 + r1) / 2.0)
        # A circle cannot be moved at one end: its neighbour gives way to it.
        if isinstance(before, Arc):
            middle = before.end
        elif isinstance(after, Arc):
            middle = after.start
        kept[index - 1] = started_at(before.reversed(), middle).reversed()
        kept[index] = started_at(after, middle)
    return kept


def _on_axis(piece: Piece) -> Piece:
    """The first piece with its start, which is on the axis within two of the shortest lengths, there."""
    x, r = piece.start
    if isinstance(piece, Arc) and abs(r) > JOIN_TOLERANCE:
        return piece.placed(0.0, -r)
    return started_at(piece, (x, 0.0))


def _check_clear(inside: Chain, outer: Chain, wall: float) -> None:
    """Refuse an inside of which some point is nearer to the skin than the wall.

    Raises:
        PartError: there is such a point.
    """
    # The nearest sample of the skin is never nearer than the skin, so nothing sound is refused.
    skin = _sampled(outer, max(9, 3200 // len(outer)))
    points = _sampled(inside, max(3, 160 // len(inside)))
    away = np.hypot(points[:, None, 0] - skin[None, :, 0], points[:, None, 1] - skin[None, :, 1])
    if float(away.min()) < wall - _NEARER - 1e-9 * wall:
        raise PartError(_folds(wall))


def _sampled(chain: Chain, count: int) -> Floats:
    t = crowded(count)
    return np.vstack([piece.at(t) for piece in chain])
