"""The quick way into a file: plain records in bulk, the rest by the library; the drawing is the same.

Sections that nothing on the drawing needs are not read at all, so that damage there does no harm. The way is
taken for sound files only: where the library finds any fault in the rest, or the rest lacks something that plain
records name, the whole file goes to the library, whose findings then count every record.
"""

from __future__ import annotations

from copy import deepcopy
from typing import Any, Final

import numpy as np
from ezdxf.document import Drawing as Document

from leakmap.base.errors import UnusableDrawing
from leakmap.base.progress import Progress
from leakmap.drawings.dxf.fast_runs import Run, Thinned, fits, thinned
from leakmap.drawings.dxf.ink import Pen
from leakmap.drawings.dxf.load import loaded
from leakmap.drawings.dxf.troubles import Troubles
from leakmap.drawings.kinds import FileKind
from leakmap.model.drawing import FloatArray

_FAULTS: Final = frozenset({"file-repaired", "file-damaged", "file-fault", "file-warning"})


class Bulk:
    """What is drawn in bulk, each run in the place of the entity that stands for it."""

    def __init__(self, found: Thinned | None = None) -> None:
        self._runs = {} if found is None else found.runs
        self._layers = np.zeros(0 if found is None else found.layers, dtype=np.int32)

    def run_of(self, entity: Any) -> Run | None:  # noqa: ANN401 - ezdxf's attributes are untyped
        """The run that an entity stands for; None for one that is drawn by itself."""
        return self._runs.get(entity.dxf.handle) if self._runs and hasattr(entity, "dxf") else None

    def places_of(self, layout: list[Any]) -> FloatArray:
        """``(k, 2)``, places of the plain records of a layout that no entity of it stands for by itself."""
        runs = (self.run_of(entity) for entity in layout)
        return np.concatenate([np.empty((0, 2)), *(run.places[1:] for run in runs if run is not None)])

    def draw(self, run: Run, layer: int, pen: Pen) -> None:
        """Draw a run, whose first record lies on a layer; the layers of all others came up before."""
        self._layers[run.first] = layer
        if len(run.counts):
            pen.lines(run.xyz, run.counts.astype(np.int32), self._layers[run.layers])
        if len(run.arcs):
            pen.arcs(run.arcs, self._layers[run.arc_layers])


def loaded_thin(
    data: bytes, name: str, *, troubles: Troubles, progress: Progress
) -> tuple[Document, Bulk, Troubles] | None:
    """The document of a DXF text file without its plain records, these, and all troubles so far.

    None where the file must be read as a whole.

    Raises:
        Stopped: The watcher asked to stop.
    """
    progress.report("Reading the file", 0, None)
    found, noted = thinned(data), deepcopy(troubles)
    if found is None:
        return None
    try:
        document = loaded(found.data, FileKind.DXF_TEXT, name, troubles=noted, progress=progress)
    except UnusableDrawing:
        return None
    sound = _FAULTS.isdisjoint(finding.code for finding in noted.findings())
    return (document, Bulk(found), noted) if sound and fits(found, document) else None
