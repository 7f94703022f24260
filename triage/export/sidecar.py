"""XMP sidecars: what the photographer's editor reads beside a picture.

References
----------
ISO 16684-1, Extensible metadata platform (XMP): data model, serialization and core properties.
"""

import re
import xml.etree.ElementTree as ET
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from xml.parsers import expat

X = "adobe:ns:meta/"
RDF = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"
XMP = "http://ns.adobe.com/xap/1.0/"
DC = "http://purl.org/dc/elements/1.1/"
PHOTOSHOP = "http://ns.adobe.com/photoshop/1.0/"
XML = "http://www.w3.org/XML/1998/namespace"
PREFIXES = {"x": X, "rdf": RDF, "xmp": XMP, "dc": DC, "photoshop": PHOTOSHOP}

PACKET_START = '<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>\n'.encode()
PACKET_END = b'\n<?xpacket end="w"?>\n'

NOT_XML = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
"""Characters that XML 1.0 cannot carry in any form (section 2.2, Char)."""

ABOUT = f"{{{RDF}}}about"
DESCRIPTION = f"{{{RDF}}}Description"
ITEM = f"{{{RDF}}}li"
LANGUAGE = f"{{{XML}}}lang"
DEFAULT_LANGUAGE = "x-default"

RATING = f"{{{XMP}}}Rating"
METADATA_DATE = f"{{{XMP}}}MetadataDate"
CREATE_DATE = f"{{{XMP}}}CreateDate"
DATE_CREATED = f"{{{PHOTOSHOP}}}DateCreated"
SUBJECT = f"{{{DC}}}subject"
DC_DESCRIPTION = f"{{{DC}}}description"


class UnmergeableError(ValueError):
    """A sidecar from the card is not XMP that can be added to."""


@dataclass(frozen=True, slots=True)
class Remarks:
    """What a sidecar says of one picture; no place is among it.

    Attributes
    ----------
    rating : int
        -1 rejected, 0 unrated, 1 to 5.
    keywords : tuple of str
        Words, in order.
    description : str
        A sentence or more; empty for none.
    taken : datetime or None
        When the picture was taken: with zone where that is known, else the camera's own time.
    made : datetime
        When the sidecar was made, aware. Passed in, so that the same remarks give the same bytes.
    """

    rating: int
    keywords: tuple[str, ...]
    description: str
    taken: datetime | None
    made: datetime


def sidecar(remarks: Remarks, existing: bytes | None = None) -> bytes:
    """Return an XMP sidecar, new or merged into one that came from the card.

    Parameters
    ----------
    remarks : Remarks
        What to say.
    existing : bytes or None
        A sidecar whose contents must survive: its keywords, description and dates are added to, a rating of
        its own stands, and everything else is kept as it is.

    Returns
    -------
    bytes
        A whole packet, UTF-8.

    Raises
    ------
    UnmergeableError
        `existing` is not XMP.
    """
    prefixes: dict[str, str] = {}
    if existing is None:
        root = ET.Element(f"{{{X}}}xmpmeta")
        ET.SubElement(ET.SubElement(root, f"{{{RDF}}}RDF"), DESCRIPTION, {ABOUT: ""})
    else:
        root, prefixes = _parse(existing)
    _say(_descriptions(root), remarks)
    for prefix, uri in {**prefixes, **PREFIXES}.items():
        ET.register_namespace(prefix, uri)
    ET.indent(root, space=" ")
    return PACKET_START + ET.tostring(root, encoding="unicode").encode("utf-8") + PACKET_END


def same_but_for_date(one: bytes, other: bytes) -> bool:
    """Whether two sidecars say the same, apart from when they were made.

    Parameters
    ----------
    one, other : bytes
        Sidecars; what is not XMP is the same as nothing.

    Returns
    -------
    bool
        True where only ``xmp:MetadataDate``, white space or the order of attributes differ.
    """
    try:
        return _undated(one) == _undated(other)
    except UnmergeableError:
        return False


def xmp_date(moment: datetime) -> str:
    """Return a date as XMP writes it: ISO 8601, milliseconds where there are any, zone where it is known.

    Parameters
    ----------
    moment : datetime
        With a zone where that is known.

    Returns
    -------
    str
        Such as ``2026-10-03T22:00:05.480+02:00``.
    """
    return moment.isoformat(timespec="milliseconds" if moment.microsecond else "seconds")


def clean(text: str) -> str:
    """Return text without the characters XML cannot carry.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
        Text that XML 1.0 can carry.
    """
    return NOT_XML.sub("", text)


def _parse(data: bytes) -> tuple[ET.Element, dict[str, str]]:
    """Read a sidecar; return its root and the prefixes it uses."""
    prefixes: dict[str, str] = {}

    def refuse(*_said: object) -> None:
        msg = "it declares a document type"
        raise UnmergeableError(msg)

    def remember(prefix: str | None, uri: str | None) -> None:
        if prefix and uri and not re.fullmatch(r"ns\d+|xml.*", prefix, re.IGNORECASE):
            prefixes[prefix] = uri

    reader = expat.ParserCreate(namespace_separator=" ")
    reader.StartDoctypeDeclHandler = refuse  # entities can blow up to any size, and XMP has none
    reader.StartNamespaceDeclHandler = remember
    try:
        reader.Parse(data, True)
        builder = ET.TreeBuilder(insert_comments=True, insert_pis=True)
        root = ET.fromstring(data, ET.XMLParser(target=builder))  # noqa: S314 - document types were refused above
    except (ET.ParseError, expat.ExpatError, LookupError) as error:
        msg = f"it is not well-formed XML ({error})"
        raise UnmergeableError(msg) from error
    if not _descriptions(root):
        msg = "it holds no XMP"
        raise UnmergeableError(msg)
    return root, prefixes


def _descriptions(root: ET.Element) -> list[ET.Element]:
    rdf = root if root.tag == f"{{{RDF}}}RDF" else root.find(f"{{{RDF}}}RDF")
    return [] if rdf is None else rdf.findall(DESCRIPTION)


def _undated(data: bytes) -> str:
    root, _prefixes = _parse(data)
    _take(_descriptions(root), METADATA_DATE)
    return ET.canonicalize(ET.tostring(root, encoding="unicode"), strip_text=True, rewrite_prefixes=True)


def _say(descriptions: Sequence[ET.Element], remarks: Remarks) -> None:
    """Put the remarks in, in a fixed order."""
    first = descriptions[0]
    if not _is_rated(_value(descriptions, RATING)):
        _take(descriptions, RATING)
        ET.SubElement(first, RATING).text = str(remarks.rating)
    _take(descriptions, METADATA_DATE)
    ET.SubElement(first, METADATA_DATE).text = xmp_date(remarks.made)
    taken = xmp_date(remarks.taken) if remarks.taken else None
    for name in (CREATE_DATE, DATE_CREATED):
        if taken and not _value(descriptions, name):
            _take(descriptions, name)
            ET.SubElement(first, name).text = taken
    _add_keywords(descriptions, remarks.keywords)
    _add_description(descriptions, clean(remarks.description).strip())


def _add_keywords(descriptions: Sequence[ET.Element], keywords: Sequence[str]) -> None:
    items = _take_items(descriptions, SUBJECT)
    had = {item.text for item in items}
    for word in dict.fromkeys(clean(keyword).strip() for keyword in keywords):
        if word and word not in had:
            items.append(_item(word))
    if items:
        ET.SubElement(ET.SubElement(descriptions[0], SUBJECT), f"{{{RDF}}}Bag").extend(items)


def _add_description(descriptions: Sequence[ET.Element], text: str) -> None:
    """Add to the default text, leaving those in named languages alone."""
    items = _take_items(descriptions, DC_DESCRIPTION)
    defaults = [item for item in items if item.get(LANGUAGE, DEFAULT_LANGUAGE) == DEFAULT_LANGUAGE]
    others = [item for item in items if item not in defaults]
    had = "\n".join(item.text for item in defaults if item.text)
    whole = had if text in had else f"{had}\n{text}".strip()
    if whole:  # the default comes first (ISO 16684-1, language alternatives)
        others.insert(0, _item(whole, {LANGUAGE: DEFAULT_LANGUAGE}))
    if others:
        ET.SubElement(ET.SubElement(descriptions[0], DC_DESCRIPTION), f"{{{RDF}}}Alt").extend(others)


def _item(text: str, attributes: dict[str, str] | None = None) -> ET.Element:
    item = ET.Element(ITEM, attributes or {})
    item.text = text
    return item


def _is_rated(value: str | None) -> bool:
    try:
        return float(value or 0) > 0
    except ValueError:
        return False


def _value(descriptions: Sequence[ET.Element], name: str) -> str | None:
    """Return a simple property's value, whether written as an attribute or as an element."""
    for description in descriptions:
        value = description.get(name)
        if value is None:
            value = description.findtext(name)
        if value is not None:
            return value.strip()
    return None


def _take(descriptions: Sequence[ET.Element], name: str) -> list[ET.Element]:
    """Remove a property in every form; return its elements, one written as an attribute turned into one."""
    taken = []
    for description in descriptions:
        value = description.attrib.pop(name, None)
        if value is not None:
            element = ET.Element(name)
            element.text = value
            taken.append(element)
        for element in description.findall(name):
            description.remove(element)
            taken.append(element)
    return taken


def _take_items(descriptions: Sequence[ET.Element], name: str) -> list[ET.Element]:
    """Remove a list property; return its items, a plain value as a single one."""
    items: list[ET.Element] = []
    for element in _take(descriptions, name):
        inside = list(element.iter(ITEM))
        if not inside and element.text and element.text.strip():
            inside = [_item(element.text.strip())]
        items += inside
    return items
