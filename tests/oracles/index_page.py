"""The page of a job's files, `index.html`, as html5lib reads it: a browser's own rules, every slip an error."""

import base64
import json
import re

import html5lib

import checks
import kits
from program import ROOT
from report import Report
from sheets_jobs import ACCEPTED

GROUPS = {
    "index html": "html5lib, strict: no error of the HTML standard; ids once, places and neighbours linked to are there",
    "index lanes": "the first thing after the heading is the table of lanes: a row a lane, its fence = offsets.json",
    "index images": "every picture is the file of its link, has words for who cannot see it, and says the same below it",
    "index narrow": "nothing is wider than 360 px: no fixed widths, pictures as wide as the page, tables that scroll",
    "index print": "sheets are printed a page each on any paper, without links of the page; there is a dark scheme",
}

SELF = {"index objects": "each group of the index objects to a page tampered with"}

NARROW = 360.0
"""Width of a small telephone, CSS px."""

PIXELS = {"px": 1.0, "rem": 16.0, "em": 16.0, "mm": 96 / 25.4, "cm": 96 / 2.54, "in": 96.0, "pt": 96 / 72, "ch": 8.0}
"""CSS px in a unit (W3C CSS Values 3, from memory; em and ch of text of the usual size)."""

WIDE = re.compile(r"(?:min-)?(?:width|inline-size)|grid-template-columns|columns|column-width|flex-basis|flex")
"""Properties that can hold something wide."""

LENGTH = re.compile(r"(?<![\w.-])(\d+\.?\d*|\.\d+)(px|rem|em|mm|cm|in|pt|ch)\b")

ESCAPES = re.compile(r"min\(100%,[^()]*\)")
"""A width that gives way to that of the page."""

FENCE = re.compile(r"\d+\.\d+")


def read(data):
    """The page's tree, without namespaces; what is not HTML as it should be is an error."""
    parser = html5lib.HTMLParser(html5lib.getTreeBuilder("lxml"), strict=True, namespaceHTMLElements=False)
    return parser.parse(data, transport_encoding=None).getroot()


def said(element):
    """All words of an element."""
    return " ".join("".join(element.itertext()).split())


def check(files, offsets, report):
    """All checks of the page among some files; `offsets` are its lanes by id, or nothing where there are none."""
    try:
        page = read(files["index.html"])
    except Exception as error:
        report.expect("index html", False, f"html5lib: {error!r}")
        return
    report.expect("index html", True, "")
    links(page, files, report.of("index html"))
    lanes(page, offsets, report.of("index lanes"))
    images(page, files, report.of("index images"))
    rules = [rule for style in page.iter("style") for rule in rules_of(style.text)]
    narrow(page, rules, report.of("index narrow"))
    printed(page, rules, report.of("index print"))


def links(page, files, expected):
    """Language, title, ids and links."""
    expected.expect(page.get("lang", "").startswith("en"), f"language {page.get('lang')}")
    expected.expect(said(page.find("head/title")), "no title")
    expected.equal(len(page.findall("body//h1")), 1, "headings of the page")
    levels = [int(e.tag[1]) for e in page.iter() if re.fullmatch("h[1-6]", str(e.tag))]
    skipped = [(a, b) for a, b in zip(levels, levels[1:]) if b > a + 1]
    expected.equal(skipped, [], "levels of headings left out")
    ids = [e.get("id") for e in page.iter() if e.get("id")]
    expected.equal(sorted(set(ids)), sorted(ids), "ids")
    for link in page.iter("a"):
        to = link.get("href", "")
        is_there = to[1:] in ids if to.startswith("#") else to in files
        expected.expect(is_there, f"a link to {to!r}")
    linked = {link.get("href") for link in page.iter("a")}
    expected.equal(set(files) - linked - {"index.html"}, set(), "files that the page does not link")
    asked = [e.get("src") for e in page.iter("script", "link", "iframe", "object", "embed")]
    expected.equal(asked, [], "what would be fetched or run")


def lanes(page, offsets, expected):
    """The table of lanes."""
    main = page.find("body//main")
    if not expected.expect(main is not None, "no main part"):
        return
    tables, first = list(main.iter("table")), [e for e in main if said(e)][:2]
    if not expected.expect(tables, "no table"):
        return
    opens = first[0].tag == "h2" and (first[1] is tables[0] or tables[0] in first[1].iter())
    expected.expect(opens, f"the page begins with {[e.tag for e in first]}, not with the table of lanes")
    before = [e.tag for e in page.find("body") if e is not main and e.tag in ("table", "figure", "img")]
    expected.equal(before, [], "what stands before the main part")
    heads = [said(cell) for cell in tables[0].findall("thead/tr/th")]
    rows = tables[0].findall("tbody/tr")
    wide = {sum(int(cell.get("colspan", 1)) for cell in row) for row in rows if row.find("th") is not None}
    expected.equal(wide - {len(heads)}, set(), f"cells of a row under the heads {heads}")
    scopes = {cell.get("scope") for cell in tables[0].iter("th")}
    expected.equal(scopes - {"col", "row", "rowgroup"}, set(), "scopes of heads")
    expected.expect(said(tables[0].find("caption")) if tables[0].find("caption") is not None else "", "no caption")
    column = next((i for i, head in enumerate(heads) if head.startswith("fence")), None)
    if not expected.expect(column is not None, f"no column of fences: {heads}"):
        return
    unit = 25.4 if heads[column].endswith("in") else 1.0
    found = {said(row.find("th")): said(row[column]) for row in rows if row.find("th") is not None}
    expected.equal(sorted(found), sorted(offsets), "lanes of the table")
    for id in found.keys() & offsets.keys():
        number = FENCE.match(found[id])
        decimals = len(number[0].partition(".")[2]) if number else 0
        wanted = f"{offsets[id]['fence_distance'] / unit:.{decimals}f}"
        expected.expect(number and number[0] == wanted, f"{id}: fence {found[id]!r}, wanted {wanted}")


def images(page, files, expected):
    """Pictures, their words and what they are of."""
    alts = []
    for image in page.iter("img"):
        words = (image.get("alt") or "").strip()
        alts.append(words)
        link, figure = image.getparent(), next(image.iterancestors("figure"), None)
        name = link.get("href") if link.tag == "a" else None
        if not expected.expect(name in files and figure is not None, f"picture {words!r} is in no figure that links it"):
            continue
        expected.expect(words and words != name, f"{name}: the words for it are {words!r}")
        caption = figure.find(".//figcaption")
        told = said(caption) if caption is not None else ""
        expected.expect(flat(words) in flat(told) or flat(told) in flat(words) and told, f"{name}: {words!r}, and below it {told!r}")
        kind, _, data = image.get("src", "").partition(";base64,")
        same = kind.startswith("data:image/") and base64.b64decode(data) == files[name]
        expected.expect(same, f"{name}: the picture is not that file")
        expected.expect(image.get("width") and image.get("height"), f"{name}: the page jumps while it is read: no size")
    expected.equal(sorted({a for a in alts if alts.count(a) > 1}), [], "pictures with the same words")
    drawn = [name for name in files if name.endswith(".svg")]
    expected.equal(len(alts), len(drawn), "pictures of drawings")


def flat(words):
    """Words as they are compared."""
    return " ".join(words.lower().split())


def rules_of(css):
    """Rules of a style sheet: the conditions around each, its selectors and its properties."""
    css, found, around, at = re.sub(r"/\*.*?\*/", "", css, flags=re.DOTALL), [], [], 0
    while at < len(css):
        if css[at] == "}":
            around.pop()
            at += 1
            continue
        brace, shut = css.find("{", at), css.find("}", at)
        if brace < 0 or 0 <= shut < brace:
            at = shut if shut >= 0 else len(css)
            continue
        head = css[at:brace].strip()
        if head.startswith("@media") or head.startswith("@supports"):
            around.append(head)
            at = brace + 1
            continue
        shut = css.index("}", brace)
        pairs = [pair.partition(":") for pair in css[brace + 1 : shut].split(";") if pair.strip()]
        found.append((tuple(around), head, {name.strip(): value.strip() for name, _, value in pairs}))
        at = shut + 1
    assert not around, "braces of the style sheet that are not shut"
    return found


def on_screen(rules):
    """The rules that hold on a small screen."""
    return [rule for rule in rules if not any("print" in a or "min-width" in a for a in rule[0]) and not rule[1].startswith("@")]


def narrow(page, rules, expected):
    """Whether anything is wider than a small telephone."""
    for _, head, properties in on_screen(rules):
        for name, value in properties.items():
            if WIDE.fullmatch(name):
                lengths = LENGTH.findall(ESCAPES.sub("", value))
                wide = [f"{n}{unit}" for n, unit in lengths if float(n) * PIXELS[unit] > NARROW - 2 * PIXELS["rem"]]
                expected.equal(wide, [], f"{head}: {name}: {value}")
    own = {(head, name): value for _, head, properties in on_screen(rules) for name, value in properties.items()}
    fits = own.get(("img", "width")) == "100%" or own.get(("img", "max-width")) == "100%"
    expected.expect(fits and own.get(("img", "height")) == "auto", "pictures keep their own width")
    viewport = [e.get("content", "") for e in page.iter("meta") if e.get("name") == "viewport"]
    expected.expect(viewport and "width=device-width" in viewport[0], f"viewport {viewport}")
    wraps = own.get(("body", "overflow-wrap")) in ("break-word", "anywhere")
    expected.expect(wraps, "long words do not wrap")
    scrolls = {head.lstrip(".") for (head, name), value in own.items() if name == "overflow-x" and value in ("auto", "scroll")}
    for table in page.iter("table"):
        around = {kind for e in table.iterancestors() for kind in e.get("class", "").split()}
        expected.expect(around & scrolls, f"a table that does not scroll: {said(table)[:40]}")
    styled = [e.get("style") for e in page.iter() if e.get("style")]
    expected.equal(styled, [], "styles in the text")


def printed(page, rules, expected):
    """What paper and a dark room get."""
    paper = [(head, properties) for around, head, properties in rules if any("print" in a for a in around)]
    own = {(one.strip(), name): value for head, properties in paper for one in head.split(",") for name, value in properties.items()}
    breaks = {one for (one, name), value in own.items() if name in ("break-before", "page-break-before") and value in ("page", "always")}
    expected.expect("figure" in breaks, f"a page begins before {breaks}, not before each figure")
    whole = own.get(("figure", "break-inside")) or own.get(("figure", "page-break-inside"))
    expected.equal(whole, "avoid", "figures are not parted")
    rows = {one for (one, name), value in own.items() if name == "break-inside" and value == "avoid"}
    expected.expect(rows & {"tr", "tbody"}, "rows of tables may be parted")
    expected.equal(own.get(("nav", "display")), "none", "links within the page are printed")
    sizes = [properties.get("size", "") for _, head, properties in rules if head.startswith("@page")]
    expected.expect(sizes and all(size in ("", "auto", "portrait", "landscape") for size in sizes), f"papers {sizes}")
    heights = [LENGTH.fullmatch(own.get((one, "max-height"), "")) for one in ("img", "figure img", "figure.level img")]
    tallest = max((float(n[1]) * PIXELS[n[2]] / PIXELS["mm"] for n in heights if n), default=0.0)
    # The lower of A4 (297 mm) and Letter (279.4 mm), less its margins of 12 mm.
    expected.expect(0 < tallest <= 279.4 - 24, f"pictures {tallest} mm high do not go on Letter")
    dark = any("prefers-color-scheme" in a and "dark" in a for around, *_ in rules for a in around)
    expected.expect(dark, "no dark scheme")
    black = own.get((":root", "--ink")) or own.get(("body", "color"))
    expected.expect(black in ("#000", "#000000", "black"), f"lettering on paper is {black}")


def made_by(program, folder, name, path):
    """The files of a job, and its lanes by id."""
    done = program.run("make", path, "--out", folder / f"index-{name}", "--quiet")
    assert done.returncode in ACCEPTED, done.stderr
    files = {file.name: file.read_bytes() for file in (folder / f"index-{name}").iterdir() if file.name != ".stopwright"}
    return files, {lane["id"]: lane for lane in json.loads(files["offsets.json"])["lanes"]}


def chosen(all_made):
    """The demo, and jobs in inches and in several blocks."""
    return [made for made in all_made if made.name in ("tool-chest", "set") or made.job.get("units") == "in"][:4]


def check_all(program, folder, jobs, report):
    """The pages of some jobs, of the kit among the examples and of seeded kits."""
    for made in jobs:
        report.about = made.name
        checks.attempt(check, report, made.files, made.offsets)
    paths = [("kit", ROOT / "examples" / "alder-lane-kit-job.json")]
    for number in (0, 3):
        kit, job = folder / f"index-kit-{number}.json", folder / f"index-job-{number}.json"
        kit.write_text(json.dumps(kits.kit(number)), encoding="utf-8")
        asked = {"format": 1, "title": f"Kit {number}", "guide": kits.WHERE[number], "kit": kit.name}
        job.write_text(json.dumps({**asked, "block": {"labels": "none"}}), encoding="utf-8")
        paths.append((f"kit-{number}", job))
    for name, path in paths:
        report.about = name
        files, offsets = made_by(program, folder, name, path)
        checks.attempt(check, report, files, offsets)
    report.about = ""
    tampered(files, offsets, report)


def changed(pattern, replacement):
    """A change of the page; what is to be changed must be there."""

    def apply(page):
        new, count = re.subn(pattern, replacement, page, count=1, flags=re.DOTALL)
        assert count, f"nothing to tamper with: {pattern}"
        return new

    return apply


CASES = [
    ("index html", changed("</figure>", "</figure></div>")),
    ("index html", changed("<title>", "<title")),
    ("index html", changed('id="lanes"', 'id="files"')),
    ("index html", changed('href="#lanes"', 'href="#lane"')),
    ("index html", changed('href="offsets.json"', 'href="offset.json"')),
    ("index lanes", changed("<main>", "<main><p>Before all else.</p>")),
    ("index lanes", changed(r'(<th scope="row">)', r"\1x")),
    ("index lanes", changed(r'(class="number">\d+\.\d)(\d)', lambda m: m[1] + str((int(m[2]) + 1) % 10))),
    ("index lanes", changed(r'<td class="number">[^<]*</td></tr>', "</tr>")),
    ("index images", changed(r'<img alt="[^"]*"', '<img alt=""')),
    ("index images", changed(r'<img alt="', '<img alt="Another ')),
    ("index images", changed(r"base64,PD94", "base64,PD95")),
    ("index images", changed(r"<figure.*?</figure>", "")),
    ("index narrow", changed(r"img\{display:block;width:100%", "img{display:block;width:794px")),
    ("index narrow", changed(r"min\(100%,22rem\)", "26rem")),
    ("index narrow", changed("width=device-width", "width=800")),
    ("index narrow", changed(r'<div class="wide-table"', "<div")),
    ("index narrow", changed("overflow-wrap:break-word", "overflow-wrap:normal")),
    ("index print", changed("figure\\{break-before:page;", "figure{")),
    ("index print", changed("size:landscape", "size:A4 landscape")),
    ("index print", changed("@media print", "@media screen")),
    ("index print", changed("prefers-color-scheme:dark", "prefers-color-scheme:light")),
    ("index print", changed("max-height:242mm", "max-height:270mm")),
]
"""At least one for each group."""


def tampered(files, offsets, report):
    """A page tampered with: the group that watches over it must object."""
    sound, page = Report(), files["index.html"].decode("utf-8")
    check(files, offsets, sound)
    for group, change in CASES:
        found = Report()
        try:
            check({**files, "index.html": change(page).encode("utf-8")}, offsets, found)
        except AssertionError as error:
            report.expect("index objects", "braces" in str(error), f"{group}: {error}")
            continue
        more = len(found.failures[group]) > len(sound.failures[group])
        report.expect("index objects", more, f"{group} did not object to case {CASES.index((group, change))}")
    report.equal("index objects", {group for group, _ in CASES}, set(GROUPS), "groups that were made to object")
