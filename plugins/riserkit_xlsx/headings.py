"""What a heading of a door list means, in the words that offices use. Common practice, no source."""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from typing import Final

_MEANINGS: Final[tuple[tuple[str, str], ...]] = (
    ("mark", r"(?:door|opening|dr) ?(?:no|nr|num|number|mark|tag|id|ref|reference|code|#)?|mark|tag|no|nr|number|#|id"
             r"|(?:door|opening) (?:label|name)|t[uü]r ?(?:nr|nummer|no)?|porte ?(?:no|num[eé]ro)?|num[eé]ro"),
    ("level", r"level|floor|storey|story|floor (?:no|level|number)|level name|geschoss|etage|niveau|lvl|flr"),
    ("size", r"(?:door|opening|nominal|leaf|clear|overall)? ?(?:size|dimensions?)(?: ?\(?[wh] ?x ?[wh](?: ?x ?[dt])?\)?)?"
             r"|[wh] ?x ?[wh](?: ?x ?[dt])?|width x height|b ?x ?h"),
    ("clear_width_m", r"(?:clear|net) (?:opening|width|opening width)|clear(?: w)?|lichte (?:durchgangs)?breite|durchgangsbreite"
                      r"|passage (?:libre|utile)|largeur (?:de passage|utile)|paso libre|ancho libre"),
    ("kind", r"family(?: and type)?|(?:door|opening|panel|leaf) (?:type|style|family)|t[uü]rtyp|type de porte|tipo de puerta"),
    ("leaf_width_m", r"leaf width|door leaf width|panel width"),
    ("width_m", r"(?:door |opening |nominal |overall )*width|w|breite|largeur|door w"),
    ("height_m", r"(?:door |opening |clear |nominal |overall |leaf )*height|h|ht|h[oö]he|hauteur|door h"),
    ("type", r"(?:number|no|nr|qty) of lea(?:f|ves)|lea(?:f|ves)|single ?/ ?double|single or double|pair|configuration|door config\w*"),
    ("pieces", r"(?:door |opening )?(?:qty|quantity|count)|(?:no|nr|number|qty) of (?:doors|openings)"),
    ("hand", r"hand(?:ing)?|door hand|swing|hand of door|door swing|anschlag"),
    ("fire_rating_min", r"(?:fire )?(?:rating|resistance)(?: min\w*)?|fire(?: rated)?|frr|frl|fire label|ul label|label|fire door"
                        r"|fire rating (?:hours?|hrs?|h)|brandschutz\w*|rating (?:min|minutes|hr|hrs|hours)"),
    ("from_to", r"from(?: room| space| area)? ?(?:/|and|to|>|-) ?to(?: room| space| area)?|room from ?/ ?to"),
    ("from", r"from(?: room| space| area)?|room from|from (?:room )?(?:no|number|name)"),
    ("to", r"to(?: room| space| area)?|room to|into|to (?:room )?(?:no|number|name)"),
    ("name", r"(?:room|space) ?(?:name|description)?|location|door (?:location|description|name)|description|area|raum\w*"),
    ("set", r"(?:hardware|hdwr?|hdwe|hrdwr?|hw|h/w|ironmongery|beschlag\w*) ?(?:set|group|grp)?(?: ?(?:no|nr|number|#|id|code))?"
            r"|set(?: ?(?:no|number|#|id))?|hwset|hset"),
    ("controlled", r"(?:access (?:control(?:led)?|ctrl|ctl|cntrl)|acs|access|card access|controlled|security|electronic access|ac|eac)"
                   r"(?: ?(?:y/?n|yes/no|door|req\w*|type|group|level|function))?"),
    ("fail_mode", r"fail(?: ?(?:mode|safe ?/ ?secure|state|safe or (?:fail )?secure|type))?|fs ?/ ?fse|fail safe / fail secure|lock mode"),
    ("voltage", r"(?:lock |supply |operating |coil )?(?:voltage|volts?)(?: ?v?dc)?|(?:lock )?power(?: supply)?"
                r"|alim(?:entation)?(?: [ée]lectrique)?"
                r"|spannung|betriebsspannung|tensi[óo]n|alimentaci[óo]n"),
    ("egress", r"egress(?: type| mode)?|means of egress"),
    ("outdoor", r"external|exterior|outdoor|ext(?:erior)? ?/ ?int(?:erior)?"),
    ("hardware:lock", r"(?:electric(?:al)? |electronic |electrified )?lock(?:ing)?(?: type| device| hardware|set)?|strike"
                      r"|electric strike|maglock|mag lock|locking mechanism|electrified hardware"),
    ("hardware:contact", r"(?:door )?(?:contact|position switch|position|monitor(?:ing)?)|dps|dpc|dc|door (?:status|position)"
                         r" (?:switch|monitor)"),
    ("hardware:rex", r"rex|rte|request to exit|rex (?:device|type|sensor)|exit (?:device|button|sensor)|egress device"),
    ("hardware:reader", r"(?:card )?reader(?:s| type)?|credential reader|reader in|reader location"),
    ("hardware:controller", r"(?:door |access )?(?:controller|control unit)(?: type| model| part)?|acu|dcu"),
    ("hardware:release", r"(?:manual|emergency|door) release(?: button)?|break ?glass|release"),
    ("remarks", r"remarks?|notes?|comments?|bemerkung(?:en)?|remarques?|observations?"),
)  # fmt: skip
# The same in German, French and Spanish, as headings of door lists have it.
_OTHER_LANGUAGES: Final[tuple[tuple[str, str], ...]] = (
    ("mark", r"t(?:[üu]|ue)r ?(?:nr|nummer|no|bezeichnung|kennzeichen|id)|rep[èe]re(?: (?:de )?(?:la )?porte)?|n[o°º]|n[úu]m(?:[ée]ro|ero)?"
             r"|(?:n[o°º]|n[úu]m(?:[ée]ro|ero)?|r[ée]f(?:[ée]rence|erencia)?|code|c[óo]digo) (?:de )?(?:la )?(?:porte|puerta)"
             r"|(?:porte|puerta)(?: (?:n[o°º]|num[ée]ro|n[úu]mero|rep[èe]re))?"),
    ("level", r"gescho(?:ss|ß)|stockwerk|ebene|[ée]tage|niveau|planta|nivel|piso"),
    ("size", r"abmessung(?:en)?|(?:t[üu]r)?(?:blatt)? ?ma(?:ß|ss)e?"
             r"|(?:t[üu]r)?blatt(?: gr[öo](?:ß|ss)e)?(?: \(?b ?[x×] ?h\)?)?|(?:b|breite) ?[x×] ?(?:h|h[öo]he)|dimensions?|"
             r"(?:l|largeur) ?[x×] ?(?:h|hauteur)"
             r"|(?:a|ancho) ?[x×] ?(?:h|alto|altura)|medidas?|dimensiones"),
    ("width_m", r"breite|lichte ma(?:ß|ss)e breite|largeur|ancho"),
    ("height_m", r"(?:lichte |durchgangs)?h[öo]he|lichte ma(?:ß|ss)e h[öo]he|hauteur(?: de passage)?|alto|altura(?: libre)?"),
    ("type", r"fl[üu]gel(?:zahl|anzahl)?|anz(?:ahl)? fl[üu]gel|(?:nombre de )?vantaux|vantail|(?:n[úu]mero de )?hojas"),
    ("hand", r"din(?: richtung| anschlag)?|anschlag(?:srichtung)?|[öo]ffnungsrichtung|sens(?: d['’ ]?ouverture)?|main|mano"
             r"|sentido(?: de apertura)?"),
    ("fire_rating_min", r"(?:brand|feuer)schutz\w*|feuerwiderstand\w*|(?:degr[ée] )?(?:coupe feu|cf|pf)|r[ée]sistance au feu|cf"
                        r"|resistencia al fuego|rf|ei"),
    ("from", r"von(?: raum)?|depuis|desde"),
    ("to", r"nach(?: raum)?|vers|hacia"),
    ("name", r"raum\w*|bezeichnung|pi[èe]ce|local|emplacement|localisation|estancia|sala|ubicaci[óo]n"),
    ("set", r"beschlag\w*(?: ?(?:satz|gruppe))?|(?:jeu|groupe|lot) de quincaillerie|quincaillerie|(?:grupo|juego) de herrajes|herrajes?"),
    ("controlled", r"zutritt|zutritts ?kontroll\w*|zuko|zk|contr[ôo]le d['’ ]?acc[èe]s|control (?:de )?accesos?"),
    ("fail_mode", r"stromlos|(?:verhalten )?(?:bei|ohne) (?:stromausfall|strom)"),
    ("outdoor", r"au(?:ß|ss)en(?:t[üu]r)?|ext[ée]rieure?|exterior"),
    ("hardware:lock", r"t(?:[üu]|ue)r[öo]ffner|e ?[öo]ffner|schloss|verriegelung|g[âa]che|serrure|verrouillage|cerradero|cerradura"),
    ("hardware:contact", r"t(?:[üu]|ue)rkontakt|contact(?: de porte)?|contacto(?: de puerta| magn[ée]tico)?"),
    ("hardware:reader", r"(?:karten)?leser|lecteurs?|lector(?:es)?"),
    ("remarks", r"anmerkung(?:en)?|bem|hinweise?|observations?|observaciones|notas?"),
)  # fmt: skip
# The same in Swedish, Norwegian and Danish, Dutch and Italian.
_MORE_LANGUAGES: Final[tuple[tuple[str, str], ...]] = (
    ("mark", r"d[öo]rr ?(?:nr|nummer|littera|id|beteckning)?|littera"
             r"|d[øo]r ?(?:nr|nummer)?|deur ?(?:nr|nummer|merk)?|porta ?(?:n[o°º]?|num(?:ero)?)?"),
    ("level", r"plan|v[åa]ning(?:splan)?|etasje|verdieping|bouwlaag|piano"),
    ("size", r"(?:modul)?m[åa]tt|m[åa]l|(?:b|bredd) ?[x×] ?(?:h|h[öo]jd)|afmeting(?:en)?|deurmaat|dimensioni|misure"),
    ("width_m", r"bredde?|breedte|(?:deur)?breedte|larghezza"),
    ("height_m", r"h[öo]jd|h[øo]y?jde|h[øo]yde|hoogte|altezza"),
    ("hand", r"h[äa]ngning(?:ssida)?|slag(?:riktning|retning)|draairichting|verso(?: di apertura)?"),
    ("fire_rating_min", r"brand ?klass|brann ?klasse|brandkrav|brandwerend(?:heid)?|wbdbo|resistenza al fuoco|rei"),
    ("set", r"besl(?:ag|agning)(?:s ?(?:lista|grupp|typ|nr|kod))?|hang en sluitwerk|ferramenta"),
    ("controlled", r"passer ?(?:system|kontroll|kort)|passage ?(?:system|kontroll)|adgangskontroll?|toegangscontrole|controllo accessi"),
    ("hardware:lock", r"l[åa]s(?:typ)?|el ?l[åa]s|motorl[åa]s|el ?slutbleck|slot|sluitkast|serratura|elettroserratura"),
    ("hardware:contact", r"magnetkontakt|d[öo]rrkontakt|magneetcontact|deurcontact|contatto(?: porta)?"),
    ("hardware:reader", r"(?:kort)?l[äa]sare|kortleser|kortl[æa]ser|kaartlezer|lettore"),
    ("name", r"rum(?:s ?(?:namn|ben[äa]mning))?|ruimte|locale|ambiente"),
    ("outdoor", r"ytterd[öo]rr|buitendeur|porta esterna"),
    ("remarks", r"anm(?:[äa]rkning(?:ar)?)?|notering(?:ar)?|merknad(?:er)?|bem[æa]rkning(?:er)?|opmerking(?:en)?|note|annotazioni"),
)  # fmt: skip
_MEANT: Final = (*_MEANINGS, *_OTHER_LANGUAGES, *_MORE_LANGUAGES)
_FAINT_MARK: Final = re.compile(
    r"code|c[óo]d(?:igo|ice)|r[ée]f(?:erence|[ée]rence|erencia)?|pos(?:ition|ici[óo]n)?|kennung|item(?: ?(?:no|#))?"
)
"""What names the doors of a list in which nothing else does."""
_ANY: Final = re.compile("|".join(f"(?P<n{n}>{words})" for n, (_, words) in enumerate(_MEANT)))
"""All of them in one, the first that fits; every row of a long list is looked at for whether it is a heading."""
_UNIT = re.compile(r"[(\[]?\s*\b(mm|cm|dm|m|in|inch|inches|ft|feet)\b\.?\s*[)\]]?\s*$")
_OF_ANOTHER = re.compile(
    r"\b(?:frame|glazing|glass|lite|louver|louvre|sill|threshold|lintel|vision|jamb|head|undercut|throat|wall)\b"
)
_OTHER_WORDS: Final = {
    "hardware:lock",
    "hardware:contact",
    "hardware:rex",
    "hardware:reader",
    "hardware:release",
    "hardware:controller",
}
_SET_HEAD = re.compile(
    r"(?:hardware|hdwr?|hdwe|hrdwr?|hw|h/w)? ?(?:set|group|grp)(?: ?(?:no|nr|number|#|id|name))?|(?:beschlag)? ?(?:satz|gruppe)"
    r"|jeu|groupe|grupo|juego|(?:access control|access|ac|acs|security|door)? ?type"
)
_ITEM = (
    r"items?(?: description)?|description|hardware(?: item)?|product|component|device|bezeichnung|beschreibung|artikel|d[ée]signation"
    r"|descripci[óo]n|art[íi]culo"
)
_COUNT = r"qty|quantity|count|ea|no|menge|anzahl|st[üu]ck|qt[ée]|quantit[ée]|nombre|cantidad|cant"
_ITEM_HEAD = re.compile(
    rf"{_ITEM}|{_COUNT}|(?:catalog|catalogue|part|model|cat)(?: ?(?:no|number|#))?|manufacturer|finish|mfr"
)  # fmt: skip


def plain_words(heading: str) -> str:
    """A heading in small letters, with one space between its words and no signs."""
    text = (
        unicodedata.normalize("NFC", heading)
        .casefold()
        .replace("&", " and ")
        .replace("_", " ")
        .replace(".", " ")
        .replace(":", " ")
        .replace("-", " ")
    )
    return " ".join(text.replace("(", " (").split())


@lru_cache(maxsize=8192)
def meaning_of(heading: str) -> str:
    """What a heading means: a column of openings, `size`, `hand`, `set`, `hardware:lock` and so on; empty when not known.

    Examples:
        >>> [meaning_of(h) for h in ("Tür-Nr.", "Largeur (m)", "Contrôle d'accès", "Ancho x Alto", "Beschlag- satz")]
        ['mark', 'width_m', 'controlled', 'size', 'set']
        >>> [meaning_of(h) for h in ("Door No.", "Width (mm)", "HW Set", "Frame Width", "Card Reader", "Colour")]
        ['mark', 'width_m', 'set', '', 'hardware:reader', '']
    """
    words = plain_words(heading)
    bare = _UNIT.sub("", words).strip()
    if not words or len(words) > 60 or _OF_ANOTHER.search(words):
        return ""
    for text in dict.fromkeys((words, bare, bare.partition(" (")[0])):
        found = _ANY.fullmatch(text) if text else None
        if found is not None:
            return _MEANT[int(str(found.lastgroup)[1:])][0]
    return ""


def may_be_mark(heading: str) -> bool:
    """Whether a heading is that of the marks where no other is.

    Examples:
        >>> [may_be_mark(text) for text in ("Código", "Ref.", "Code", "Postcode")]
        [True, True, True, False]
    """
    return _FAINT_MARK.fullmatch(plain_words(heading)) is not None


def unit_of_heading(heading: str) -> str:
    """The unit that a heading names at its end, empty for none."""
    found = _UNIT.search(plain_words(heading))
    return found[1] if found and plain_words(heading) != found[1] else ""


def is_set_table(headings: list[str]) -> bool:
    """Whether headings are those of a table of hardware sets: a set, and items or devices, but no door."""
    words = [plain_words(h) for h in headings if h]
    has_set = any(_SET_HEAD.fullmatch(w) for w in words)
    items = [w for w in words if _ITEM_HEAD.fullmatch(w)]
    devices = [w for w in words if meaning_of(w) in {*_OTHER_WORDS, "fail_mode", "egress"}]
    doors = [w for w in words if re.match(r"(?:door|opening)\b", w) and meaning_of(w) == "mark"]
    sizes = [w for w in words if meaning_of(w) in ("size", "width_m", "hand", "from", "to", "fire_rating_min")]
    return has_set and bool(items or devices) and not doors and not sizes


def is_set_heading(heading: str) -> bool:
    """Whether a heading of a table of sets names the set."""
    return _SET_HEAD.fullmatch(plain_words(heading)) is not None


def is_item_heading(heading: str) -> bool:
    """Whether a heading of a table of sets is that of an item's words."""
    return re.fullmatch(_ITEM, plain_words(heading)) is not None


def is_count_heading(heading: str) -> bool:
    """Whether a heading of a table of sets is that of a number of pieces."""
    return re.fullmatch(_COUNT, plain_words(heading)) is not None


def is_column_of_items(heading: str) -> bool:
    """Whether a heading is one of those that stand above the items of a set.

    Examples:
        >>> [is_column_of_items(text) for text in ("QTY", "Unit", "Item", "Finish", "Hinge", "No.")]
        [True, True, True, True, False, True]
    """
    words = plain_words(heading)
    return _ITEM_HEAD.fullmatch(words) is not None or re.fullmatch(r"units?|uom|notes?|remarks?", words) is not None
