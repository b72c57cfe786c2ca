"""The two copies of a paper: one for site, which a viewer can do more with, and one for the archive.

The archive copy follows ISO 19005-1 (PDF/A-1), conformance level B; from memory, proved by an independent validator by
hand: PDF 1.4 with every font inside, colours that are said (output intent), its facts a second time as XMP, and nothing
that a viewer of later years might not know: no layers, attachments, compressed objects or see-through colours.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, datetime
from io import BytesIO
from types import MappingProxyType
from typing import Final
from xml.sax.saxutils import escape

import pikepdf

from leakmap.issue.colour_profile import CONDITION, srgb_profile

_PRINTED: Final = 4  # the flag of a link that is not hidden from print
_MARKS: Final = re.compile(rb"^(?:/OC /OC-[A-Z-]+ BDC|EMC)$\n?", re.MULTILINE)
_DATES: Final = ("/CreationDate", "/ModDate")
_PACKET: Final = """<?xpacket begin="\ufeff" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
{}
</rdf:RDF>
</x:xmpmeta>
<?xpacket end="w"?>"""
_KINDS: Final = {"json": "application/json", "csv": "text/csv"}


def compact(data: bytes, attached: Mapping[str, bytes] = MappingProxyType({}), at: datetime | None = None) -> bytes:
    """A paper written anew: compact, with files attached, without the remarks of the library that made it.

    Args:
        data: The paper.
        attached: Files by name.
        at: When they were made; unsaid without it.
    """
    out = BytesIO()
    with pikepdf.open(BytesIO(data)) as pdf:
        for name, content in attached.items():
            stamp = "" if at is None else f"D:{at.astimezone(UTC):%Y%m%d%H%M%S}Z"
            kind = _KINDS.get(name.rpartition(".")[2], "application/octet-stream")
            spec = pikepdf.AttachedFileSpec(
                pdf, content, filename=name, mime_type=kind, creation_date=stamp, mod_date=stamp
            )
            pdf.attachments[name] = spec
        pdf.save(
            out,
            deterministic_id=True,
            object_stream_mode=pikepdf.ObjectStreamMode.generate,
            stream_decode_level=pikepdf.StreamDecodeLevel.generalized,
            recompress_flate=True,
        )
    return out.getvalue()


def archive_copy(data: bytes) -> bytes:
    """A paper as PDF/A-1b.

    Args:
        data: The paper as written, its pages not compressed, layers marked at most.
    """
    out = BytesIO()
    with pikepdf.open(BytesIO(data)) as pdf:
        for page in pdf.pages:
            page.Contents = pdf.make_stream(_MARKS.sub(b"", page.Contents.read_bytes()))
            for link in page.get("/Annots", []):
                link.F = _PRINTED
        for name in ("/Keywords", "/Trapped"):  # what our facts do not say
            if name in pdf.docinfo:
                del pdf.docinfo[name]
        _say_colours(pdf)
        facts = {name: str(value) for name, value in pdf.docinfo.items()}
        pdf.Root.Metadata = pdf.make_stream(_xmp(facts), Type=pikepdf.Name.Metadata, Subtype=pikepdf.Name.XML)
        pdf.save(
            out,
            deterministic_id=True,
            force_version="1.4",
            object_stream_mode=pikepdf.ObjectStreamMode.disable,
            stream_decode_level=pikepdf.StreamDecodeLevel.generalized,
            recompress_flate=True,
        )
    return out.getvalue()


def _xmp(facts: Mapping[str, str]) -> bytes:
    """The facts of a file a second time, each schema in a description of its own, as strict readers want it."""
    said = {name: escape(words) for name, words in facts.items()}
    made, changed = (str(pikepdf.models.metadata.decode_pdf_date(facts[name]).isoformat()) for name in _DATES)
    title, subject = (
        f'<rdf:Alt><rdf:li xml:lang="x-default">{said[name]}</rdf:li></rdf:Alt>' for name in ("/Title", "/Subject")
    )
    parts = {
        'dc="http://purl.org/dc/elements/1.1/"': f"<dc:title>{title}</dc:title><dc:description>{subject}</dc:description>"
        f"<dc:creator><rdf:Seq><rdf:li>{said['/Author']}</rdf:li></rdf:Seq></dc:creator>",
        'pdf="http://ns.adobe.com/pdf/1.3/"': f"<pdf:Producer>{said['/Producer']}</pdf:Producer>",
        'xmp="http://ns.adobe.com/xap/1.0/"': f"<xmp:CreatorTool>{said['/Creator']}</xmp:CreatorTool>"
        f"<xmp:CreateDate>{made}</xmp:CreateDate><xmp:ModifyDate>{changed}</xmp:ModifyDate>",
        'pdfaid="http://www.aiim.org/pdfa/ns/id/"': "<pdfaid:part>1</pdfaid:part>"
        "<pdfaid:conformance>B</pdfaid:conformance>",
    }
    described = "\n".join(
        f'<rdf:Description rdf:about="" xmlns:{space}>{words}</rdf:Description>' for space, words in parts.items()
    )
    return _PACKET.format(described).encode("utf-8")


def _say_colours(pdf: pikepdf.Pdf) -> None:
    profile = pdf.make_stream(srgb_profile(), N=3)
    intent = pikepdf.Dictionary(
        Type=pikepdf.Name.OutputIntent,
        S=pikepdf.Name.GTS_PDFA1,
        OutputConditionIdentifier=pikepdf.String(CONDITION),
        Info=pikepdf.String(CONDITION),
        DestOutputProfile=profile,
    )
    pdf.Root.OutputIntents = pikepdf.Array([intent])
