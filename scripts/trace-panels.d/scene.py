"""The bench as a path tracer sees it: glass with a thickness, silver behind it, a matt board lit by two lamps at 45°.

Millimetres; the panel's glass has its front in z = 0, its middle at the origin, x right and y up as seen from the front.
"""

from dataclasses import dataclass, field

import mitsuba as mi
import numpy as np

GLASS = 1.52
SILVER = 0.90
PAINT = 0.012
AIR_GAP = 0.05


@dataclass
class Bench:
    """What stands where; the camera looks from `yaw` to the right and `pitch` above the panel's normal."""

    size_mm: tuple = (150.0, 150.0)
    glass_mm: float = 4.0
    edges: str = "ground"  # or polished, painted
    yaw: float = 15.0
    pitch: float = 0.0
    roll: float = 0.0
    aim: tuple = (0.0, 0.0)
    camera_mm: float = 1000.0
    field_of_view: float = 17.0
    board_mm: float = 800.0
    board_side_mm: float = 820.0
    lamps: tuple = (1.0, 1.0)
    # Degrees by which the left lamp turns from the board towards the panel.
    lamp_turned: float = 0.0
    # Reflectance of the room's walls, 3 m away.
    room: float = 0.35
    cloth: float = 0.02
    card: bool = True
    offcuts: int = 4
    bare: bool = True
    # A dark thing before the board, as its two sides in mm on the board.
    before_board: tuple = None
    # A second panel's silver beside the first, and how large it is.
    beside: tuple = None
    # Share of the light that what lies on the front glass scatters, all over or as a picture of the panel.
    on_glass: object = None
    # What the panel's glass leaves of red, green and blue, there and back.
    tint: tuple = (1.0, 1.0, 1.0)
    # Reflectance of what lies behind bare glass, where no paint does.
    behind: float = None
    # Width of a wooden frame round the panel, which covers 3 mm of it all round.
    frame_mm: float = 0.0
    # A part of the board that sunlight falls on: its two sides and middle on the board, mm, and what it adds to the lamps' light.
    sun_on_board: tuple = None
    extra: dict = field(default_factory=dict)

    def toward_camera(self):
        yaw, pitch = np.radians([self.yaw, self.pitch])
        return np.array([np.sin(yaw) * np.cos(pitch), np.sin(pitch), np.cos(yaw) * np.cos(pitch)])

    def toward_board(self):
        x, y, z = self.toward_camera()
        return np.array([-x, -y, z])


def looking(origin, target, up=(0, 1, 0)):
    return mi.ScalarTransform4f().look_at(origin=list(origin), target=list(target), up=list(up))


def rectangle(corner_to_world, bsdf, **more):
    return {"type": "rectangle", "to_world": corner_to_world, "bsdf": bsdf, **more}


def matt(reflectance):
    return {"type": "twosided", "bsdf": {"type": "diffuse", "reflectance": {"type": "rgb", "value": reflectance}}}


def flat(cx, cy, z, w, h):
    T = mi.ScalarTransform4f
    return T().translate([cx, cy, z]).scale([w / 2, h / 2, 1])


def picture(level):
    """A texture of a picture whose top row comes first."""
    bitmap = mi.Bitmap(np.ascontiguousarray(level[::-1], dtype=np.float32))
    return {"type": "bitmap", "bitmap": bitmap, "raw": True, "wrap_mode": "clamp"}


def mirror(silver, tint=(1.0, 1.0, 1.0), behind=None):
    """A metal behind glass that throws back `SILVER` where it is whole, and where it is gone a little of the paint, or what is behind."""
    rest = PAINT if behind is None else 0.0
    level = silver[..., None] * SILVER + (1 - silver[..., None]) * rest
    metal = {"type": "conductor", "material": "none", "specular_reflectance": picture(level * np.array(tint))}
    if behind is None:
        return metal
    seen = {"type": "diffuse", "reflectance": {"type": "rgb", "value": behind}}
    return {"type": "blendbsdf", "weight": picture((silver < 0.5)[..., None] * 1.0), "first": metal, "second": seen}


def sheet(name, silver, cx, cy, w, h, thick, edges, **more):
    """A sheet of glass with its front in z = 0 and silver behind it."""
    T = mi.ScalarTransform4f
    glass = {"type": "dielectric", "int_ior": GLASS, "ext_ior": 1.0}
    side = {
        "polished": glass,
        "ground": {"type": "roughdielectric", "int_ior": GLASS, "ext_ior": 1.0, "alpha": 0.5, "distribution": "ggx"},
        "painted": matt(0.03),
    }[edges]
    parts = {f"{name}_front": rectangle(flat(cx, cy, 0, w, h), glass)}
    back = T().translate([cx, cy, -thick]).scale([w / 2, h / 2, 1])
    parts[f"{name}_back"] = rectangle(back, {"type": "twosided", "bsdf": mirror(silver, **more)})
    for i, (dx, dy, turn, length) in enumerate(
        [(w / 2, 0, 0, h), (-w / 2, 0, 180, h), (0, h / 2, 90, w), (0, -h / 2, 270, w)]
    ):
        to_world = (
            T()
            .translate([cx + dx, cy + dy, -thick / 2])
            .rotate([0, 0, 1], turn)
            .rotate([0, 1, 0], 90)
            .scale([thick / 2, length / 2, 1])
        )
        parts[f"{name}_side{i}"] = rectangle(to_world, side)
    return parts


CARD_MM = 32.0
OFFCUT_MM = 26.0
BARE_MM = 26.0


def places(bench):
    """Middles of the card, the offcuts and the bare piece beside the panel."""
    x = bench.size_mm[0] / 2 + 28
    y = bench.size_mm[1] / 2 - 16
    offcuts = [(x, y), (x, -y), (-x, -y), (-x, 0.15 * y)][: bench.offcuts]
    return {"card": (-x, y), "offcuts": offcuts, "bare": (x, 0.1 * y)}


def scene(bench, silver):
    T = mi.ScalarTransform4f
    w, h = bench.size_mm
    parts = {"type": "scene", "integrator": {"type": "path", "max_depth": 12, "rr_depth": 7}}
    parts |= sheet("panel", silver, 0, 0, w, h, bench.glass_mm, bench.edges, tint=bench.tint, behind=bench.behind)
    if bench.on_glass is not None:
        share = np.broadcast_to(np.asarray(bench.on_glass, dtype=np.float32), (4, 4)) if np.ndim(bench.on_glass) == 0 else bench.on_glass
        scatters = {"type": "mask", "opacity": picture(share[..., None]), "bsdf": matt(0.8)}
        parts["on_glass"] = rectangle(flat(0, 0, 0.05, w, h), scatters)
    if bench.frame_mm:
        for i, (sx, sy) in enumerate([(1, 0), (-1, 0), (0, 1), (0, -1)]):
            across = bench.frame_mm / 2 - 3.0
            at = [sx * (w / 2 + across), sy * (h / 2 + across), 4.0]
            sides = [bench.frame_mm / 2 if sx else w / 2 + bench.frame_mm - 3.0, bench.frame_mm / 2 if sy else h / 2 + bench.frame_mm - 3.0, 3.9]
            parts[f"frame{i}"] = {"type": "cube", "to_world": T().translate(at).scale(sides), "bsdf": matt(0.12)}
    at = places(bench)
    for i, (x, y) in enumerate(at["offcuts"]):
        parts |= sheet(f"offcut{i}", np.ones((2, 2)), x, y, OFFCUT_MM, OFFCUT_MM, bench.glass_mm, bench.edges)
    if bench.bare:
        parts |= sheet("bare", np.zeros((2, 2)), *at["bare"], BARE_MM, BARE_MM, bench.glass_mm, bench.edges)
    if bench.card:
        parts["card"] = rectangle(flat(*at["card"], -bench.glass_mm + 1.0, CARD_MM, CARD_MM), matt(0.18))
    if bench.beside:
        silver_beside, (bw, bh), (bx, by) = bench.beside
        parts |= sheet("beside", silver_beside, bx, by, bw, bh, bench.glass_mm, bench.edges)
    parts["cloth"] = rectangle(flat(0, 0, -bench.glass_mm - 1.0, 1600, 1600), matt(bench.cloth))
    # The board faces the panel where the camera sees it mirrored; the lamps stand 45° off its normal, left and right.
    outward = bench.toward_board()
    middle = outward * bench.board_mm
    board = looking(middle, (0, 0, 0))
    half = bench.board_side_mm / 2
    parts["board"] = rectangle(board.scale([half, half, 1]), matt(0.85))
    beside = np.cross([0, 1, 0], -outward)
    beside /= np.linalg.norm(beside)
    away = 0.9 * bench.board_mm
    for side, power in ((1, bench.lamps[0]), (-1, bench.lamps[1])):
        stand = middle + away * (-outward * np.cos(np.pi / 4) + side * beside * np.sin(np.pi / 4))
        aim = middle
        if side == 1 and bench.lamp_turned:
            toward = (middle - stand) / np.linalg.norm(middle - stand)
            panel = -stand / np.linalg.norm(stand)
            full = np.degrees(np.arccos(np.dot(toward, panel)))
            t = bench.lamp_turned / full
            aim = stand + (1 - t) * toward + t * panel
        parts[f"lamp{side}"] = rectangle(
            looking(stand, aim).scale([60, 60, 1]),
            matt(0.0),
            emitter={
                "type": "area",
                "radiance": {"type": "rgb", "value": [power * 40.0 * v * (away / 720) ** 2 for v in (1.04, 1.0, 0.90)]},
            },
        )
    parts["room"] = {"type": "sphere", "radius": 3000.0, "bsdf": matt(bench.room)}
    if bench.before_board:
        (bw, bh), (bx, by) = bench.before_board
        parts["thing"] = rectangle(
            board.translate([bx, by, 30]).scale([bw / 2, bh / 2, 1]), matt(0.01)
        )
    if bench.sun_on_board:
        (bw, bh), (bx, by), more = bench.sun_on_board
        sun = {"type": "area", "radiance": {"type": "rgb", "value": more}}
        parts["sun"] = rectangle(board.translate([bx, by, 1]).scale([bw / 2, bh / 2, 1]), matt(0.85), emitter=sun)
    for name, part in bench.extra.items():
        parts[name] = part() if callable(part) else part
    return parts


def camera(bench, width, height):
    origin = bench.toward_camera() * bench.camera_mm
    target = np.array([*bench.aim, 0.0])
    roll = np.radians(bench.roll)
    forward = (target - origin) / np.linalg.norm(target - origin)
    right = np.cross(forward, [0, 1, 0])
    right /= np.linalg.norm(right)
    up = np.cos(roll) * np.cross(right, forward) + np.sin(roll) * right
    sensor = {
        "type": "perspective",
        "fov": bench.field_of_view,
        "fov_axis": "x",
        "near_clip": 10.0,
        "far_clip": 10000.0,
        "to_world": looking(origin, target, up),
        "film": {
            "type": "hdrfilm",
            "width": width,
            "height": height,
            "rfilter": {"type": "box"},
            "pixel_format": "rgb",
        },
        "sampler": {"type": "independent"},
    }
    right = np.cross(forward, up)
    focal = width / 2 / np.tan(np.radians(bench.field_of_view) / 2)

    def project(point):
        d = np.asarray(point, dtype=float) - origin
        depth = d @ forward
        return [float(width / 2 + focal * (d @ right) / depth), float(height / 2 - focal * (d @ up) / depth)]

    return sensor, origin, project


def hidden(origin, at, thick, inward):
    """How far light that enters the front at `at` runs sideways, along `inward`, down to the silver."""
    d = np.array([*at, 0.0]) - origin
    d /= np.linalg.norm(d)
    within = d[:2] / GLASS
    return thick * float(within @ inward) / np.sqrt(1 - within @ within)


def corners(origin, project, middle, size, thick):
    """Corners of the glass and of the silver seen, TL TR BR BL in pixels, and the millimetres of silver hidden on each side."""
    (cx, cy), (w, h) = middle, size
    signs = [(-1, 1), (1, 1), (1, -1), (-1, -1)]
    glass, silver = [], []
    for sx, sy in signs:
        at = np.array([cx + sx * w / 2, cy + sy * h / 2])
        glass.append(project([*at, 0.0]))
        for _ in range(20):
            # Light must come back out through the front: twice the way sideways.
            x = 2 * hidden(origin, at, thick, np.array([1.0, 0.0]))
            y = 2 * hidden(origin, at, thick, np.array([0.0, 1.0]))
            at = np.array([
                cx + sx * w / 2 - (x if sx * x > 0 else 0.0),
                cy + sy * h / 2 - (y if sy * y > 0 else 0.0),
            ])
        silver.append(project([*at, 0.0]))
    sides = []
    for sx, sy in [(-1, 0), (0, 1), (1, 0), (0, -1)]:
        at = np.array([cx + sx * w / 2, cy + sy * h / 2])
        sides.append(abs(hidden(origin, at, thick, np.array([abs(sx), abs(sy)], dtype=float))))
    return glass, silver, sides
