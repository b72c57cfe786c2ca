"""Make the faces of the papers: Barlow Semi Condensed with figures of equal width.

    python resources/fonts/make_tabular.py        needs fontTools

The window asks for equal figures by a feature of the font; the PDF library knows no features, so
the copies made here map each digit to the equal-width glyph that the font already holds. Running
the script again gives the same bytes.

The two faces themselves are the Latin, Latin Extended and Vietnamese subsets of the npm package
``@fontsource/barlow-semi-condensed`` 5.3.0 (weights 500 and 600), put together by ``fontTools.merge``.
Routed Gothic and DejaVu Sans are the files of the Debian packages ``fonts-routed-gothic`` and
``fonts-dejavu-core``, unchanged. Licences lie in ``resources/licences``.
"""
# ruff: noqa: INP001 - a script beside the fonts

from __future__ import annotations

from pathlib import Path

from fontTools.ttLib import TTFont

FOLDER = Path(__file__).parent


def main() -> None:
    """Write ``<name>-Tabular.ttf`` beside each face."""
    for name in ("BarlowSemiCondensed-Medium", "BarlowSemiCondensed-SemiBold"):
        font = TTFont(FOLDER / f"{name}.ttf", recalcTimestamp=False)
        equal = equal_figures(font)
        for table in font["cmap"].tables:
            table.cmap.update({code: equal[glyph] for code, glyph in table.cmap.items() if glyph in equal})
        for record in font["name"].names:
            if record.nameID in {1, 3, 4, 6, 16}:
                record.string = record.toUnicode() + ("-Tabular" if record.nameID == 6 else " Tabular")
        font.save(FOLDER / f"{name}-Tabular.ttf", reorderTables=True)


def equal_figures(font: TTFont) -> dict[str, str]:
    """Glyph to glyph of equal width, from the font's own ``tnum`` feature."""
    table = font["GSUB"].table
    lookups = {i for f in table.FeatureList.FeatureRecord if f.FeatureTag == "tnum" for i in f.Feature.LookupListIndex}
    pairs: dict[str, str] = {}
    for index in sorted(lookups):
        for part in table.LookupList.Lookup[index].SubTable:
            pairs.update(getattr(part, "ExtSubTable", part).mapping)
    return pairs


if __name__ == "__main__":
    main()
