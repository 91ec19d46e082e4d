"""The side views that `show` draws: every built-in guide with every built-in tool, on the stone and at the block."""

import dimensions
import figures
import guide
import style
from jobs import names
from program import Made, profile
from sheet import Sheet

ANGLES = (25, 33)
LEVELS = {"bench-roller": "-12 mm"}
"""Guides whose roller runs below the stone."""


def check(program, folder, report):
    """Draws and checks them all."""
    for name in names("guides"):
        for tool in names("tools"):
            for angle in ANGLES:
                report.about = f"show {name} --tool {tool} --angle {angle}"
                one(program, folder / f"show-{name}-{tool}", name, tool, angle, report)


def one(program, folder, name, tool, angle, report):
    """One guide with one tool at one angle, in both views."""
    setting = {"tool": tool, "angles": [angle]}
    call = ["show", name, "--tool", tool, "--angle", angle, "--out", folder]
    if name in LEVELS:
        setting["roller_level"] = LEVELS[name]
        call += ["--roller-level", LEVELS[name]]
    program.text(*call)
    program.text(*call, "--block")
    tools = {tool: profile("tools", tool, None)}
    shown = Made(name, {"settings": [setting]}, profile("guides", name, None), tools, {}, {})
    seats, wanted = shown.guide["seats"], tools[tool]["seat"]
    situation = guide.situation(shown, setting, wanted if wanted in seats else next(iter(seats)))

    stone, block = (Sheet(f, (folder / f).read_bytes()) for f in (f"{tool}-{angle}.svg", f"{tool}-{angle}-block.svg"))
    for sheet in (stone, block):
        style.check(sheet, None, report)
        # A guide is shown in the unit that its profile is written in.
        dimensions.check(sheet, report, dimensions.unit_in(shown.guide))
    figures.on_stone(situation, angle, stone, report)
    if situation.underside == 0.0 and situation.square_error == 0.0:
        fence = block.by_id["dim-fence_distance"].number("value")
        report.near("drawing values", fence, situation.projection(angle), 1e-9, "fence distance of an upright face")
