"""Changes of a sheet's SVG that the rules of `sheets` must object to, and such as they must not.

Each takes the tree of the file. Those without a docstring do what their names say.
"""

import copy

from lxml import etree

import sheets_page
from sheet import NAMESPACE


def changed(data, change):
    """An SVG after a change of its tree."""
    root = etree.fromstring(data)
    change(root)
    return etree.tostring(root)


def group_of(root, id):
    """A group of the tree."""
    return next(g for g in root.iter(f"{NAMESPACE}g") if g.get("id") == id)


def box_of(root, id):
    """The box of a group's first lettering."""
    page = sheets_page.of_svg("", etree.tostring(root))
    quad = page.by_group[id][0].quad
    return (*quad.min(axis=0), *quad.max(axis=0))


def label(root):
    """The first dimension that is lettered: what is tampered with stands there."""
    lettered = (g for g in root.iter(f"{NAMESPACE}g") if g.get("class") == "dimension" and "text" in tags(g))
    return next(g.get("id") for g in lettered)


def tags(group):
    """Which elements a group has."""
    return {child.tag.removeprefix(NAMESPACE) for child in group}


def add(root, id, tag, first=False, **attributes):
    """Adds an element to a new group, last or first of all."""
    group = etree.Element(f"{NAMESPACE}g", {"id": id, "class": "feature"})
    given = {name.replace("_", "-"): str(value) for name, value in attributes.items()}
    group.append(etree.Element(f"{NAMESPACE}{tag}", given))
    root.insert(1, group) if first else root.append(group)


def path_of(x0, y0, x1, y1):
    """A rectangle as a path."""
    return f"M{x0} {y0}L{x1} {y0}L{x1} {y1}L{x0} {y1}Z"


def line_through(root):
    """A line runs through the letters."""
    x0, y0, x1, y1 = box_of(root, label(root))
    add(root, "tampered", "line", x1=x0, y1=y0, x2=x1, y2=y1, stroke="#000000", stroke_width=0.25)


def covered_line(root):
    """A line that a white field parts from the letters."""
    x0, y0, x1, y1 = box_of(root, label(root))
    add(root, "field", "path", first=True, d=path_of(x0 - 1, y0 - 1, x1 + 1, y1 + 1), fill="#ffffff", stroke="none")
    line = {"x1": x0 - 0.5, "y1": y0, "x2": x1 + 0.5, "y2": y1, "stroke": "#000000", "stroke_width": 0.25}
    add(root, "tampered", "line", first=True, **line)


def letters_on_letters(root):
    """The same lettering is drawn twice, half its width apart."""
    twin = copy.deepcopy(group_of(root, label(root)))
    twin.set("id", "twin")
    shift(twin, 1.5, 0.5)
    root.append(twin)


def shift(group, x, y):
    """Moves a group's lettering."""
    for letters in group.iter(f"{NAMESPACE}g"):
        if letters.get("class") == "letters":
            letters.set("transform", f"translate({x} {y}) {letters.get('transform')}")


def white_over_letters(root):
    """A white field hides letters."""
    add(root, "tampered", "path", d=path_of(*box_of(root, label(root))), fill="#ffffff", stroke="none")


def black_under_letters(root):
    """Letters stand on a dark field."""
    add(root, "tampered", "path", first=True, d=path_of(*box_of(root, label(root))), fill="#4d463a", stroke="none")


def tint_under_letters(root):
    """Letters stand on a tint."""
    x0, y0, x1, y1 = box_of(root, label(root))
    path = path_of(x0 - 1, y0 - 1, x1 + 1, y1 + 1)
    add(root, "tampered", "path", first=True, d=path, fill="#e6e1d6", stroke="none")


def tint_half_under_letters(root):
    """The edge of a tint runs through letters."""
    x0, y0, x1, y1 = box_of(root, label(root))
    path = path_of(x0 - 1, y0 - 1, (x0 + x1) / 2, y1 + 1)
    add(root, "tampered", "path", first=True, d=path, fill="#e6e1d6", stroke="none")


def out_of_frame(root):
    shift(group_of(root, label(root)), 0, -400)


def into_title_block(root):
    """A line runs into the title block."""
    x0, y0, x1, y1 = sheets_page.of_svg("", etree.tostring(root)).bounds("title-block")
    ends = {"x1": x0 - 20, "y1": y0 - 20, "x2": (x0 + x1) / 2, "y2": (y0 + y1) / 2}
    add(root, "tampered", "line", stroke="#000000", stroke_width=0.25, **ends)


def small_letters(root):
    for letters in group_of(root, label(root)).iter(f"{NAMESPACE}g"):
        if letters.get("class") == "letters":
            letters.set("transform", letters.get("transform") + " scale(0.6)")


def odd_width(root):
    next(root.iter(f"{NAMESPACE}line")).set("stroke-width", "0.35")


def other_words(root):
    """The text over letters says something else."""
    next(group_of(root, label(root)).iter(f"{NAMESPACE}text")).text = "7…"


def upside_down(root):
    """The lines of the notes are written from the last to the first."""
    notes = group_of(root, "notes")
    for child in list(notes)[::-1]:
        notes.append(child)
    pairs = list(notes)
    # Letters stay before their text.
    for text, letters in zip(pairs[::2], pairs[1::2]):
        notes.remove(letters)
        text.addprevious(letters)


def emptied(root):
    kept = label(root)
    for group in list(root.iterchildren(f"{NAMESPACE}g")):
        if group.get("class") != "frame" and group.get("id") != kept:
            root.remove(group)


def lost_date(root):
    """The title block has no field for the date."""
    next(t for t in group_of(root, "title-block").iter(f"{NAMESPACE}text") if t.text.strip() == "date").text = "data"


def lost_centring_mark(root):
    marks = group_of(root, "centring-marks")
    marks.remove(marks[0])


def blunt_arrow(root):
    """One arrow is longer than the others."""
    add(root, "tampered", "path", d="M100 100L108 101L108 99Z", fill="#000000", stroke="none")


def hyphen(root):
    """A number has a hyphen for its minus."""
    add_text(root, "tampered", ["-5"])


def parted(root):
    """A number is at the end of a line, and its unit on the next."""
    add_text(root, "tampered", ["no more than 5", "mm of it"])


def add_text(root, id, lines):
    """Adds lines of text, with letters that are copies of some sheet's, whatever they say."""
    group = copy.deepcopy(group_of(root, label(root)))
    group.set("id", id)
    group.set("class", "note")
    letters = next(g for g in group if g.get("class") == "letters")
    text = next(group.iter(f"{NAMESPACE}text"))
    for child in list(group):
        group.remove(child)
    for i, words in enumerate(lines):
        own_letters, own = copy.deepcopy(letters), copy.deepcopy(text)
        own.text = words
        own.set("y", str(float(own.get("y")) + 5 * i))
        own.attrib.pop("transform", None)
        group.extend([own_letters, own])
    root.append(group)


SVG_CASES = [
    ("sheets clashes", line_through),
    ("sheets clashes", letters_on_letters),
    ("sheets clashes", white_over_letters),
    ("sheets clashes", black_under_letters),
    ("sheets clashes", tint_half_under_letters),
    ("sheets frame", out_of_frame),
    ("sheets frame", into_title_block),
    ("sheets lettering", small_letters),
    ("sheets lines", odd_width),
    ("sheets whole words", other_words),
    ("sheets reading order", upside_down),
    ("sheets filled", emptied),
    ("sheets title block", lost_date),
    ("sheets centring", lost_centring_mark),
    ("sheets arrows", blunt_arrow),
    ("sheets typography", hyphen),
    ("sheets typography", parted),
]

ALLOWED = [("sheets clashes", covered_line), ("sheets clashes", tint_under_letters)]
