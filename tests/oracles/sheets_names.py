"""Names as people write them, for titles, guides, tools, blades: many languages, long ones, long words, accents on capitals."""

TITLES = [
    "Stemmeisen für Möbelbau",
    "Ciseaux à bois d’établi",
    "Formões da oficina, gaveta de cima à esquerda",
    "Żłobaki i dłuta stolarskie",
    "Стамески столярной мастерской на втором этаже",
    "Σμίλες και πλάνες του εργαστηρίου",
    "Høvljern og stemjern ved bænken",
    "Taltat ja höylänterät",
    "Dláta a hoblíky, skříň č. 3",
    "ÅÄÖ ÉÈÊ ŮŰŐ ŞĞİ",
    "Beitels en schaafbeitels van de timmerwerkplaats",
    "Vésők és gyaluvasak a műhely nagy fiókjából",
    "Kalıp ve keski takımı, İstanbul atölyesi",
    "Meitlar og hefiltennur smiðjunnar",
    "Werkstattschubladenstemmeisensortiment",
    "The bench chisels of the long shop, second drawer, left side",
    "Dălți și cuțite de rindea",
    "WWWWWWWWWWWWWWWWWWWW MMMMMMMMMMMMMMMMMM",
    "1",
]
"""Titles of jobs and kits, none over 60 signs."""

GUIDES = [
    "Schleifführung mit schmaler Rolle",
    "guide d’affûtage à rouleau étroit, modèle d’atelier",
    "οδηγός ακονίσματος",
    "Направляющая с узким роликом",
    "vodítko pro broušení s úzkým válečkem",
    "own-guide-of-the-second-bench-by-the-window",
    "Ég",
]
"""Names of guides."""

TOOLS = [
    "Abrichthobeleisen",
    "ciseau à bois à biseaux latéraux",
    "стамеска",
    "σμίλη πάγκου",
    "Łuszczak szeroki",
    "chisel with a boxwood handle, bevelled",
    "Ůhoř",
    "Stemmeisensatzverlängerungsgriff",
    "iron",
]
"""Names of settings and of blades; a number is added to those of blades."""
