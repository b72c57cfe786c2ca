"""The job file read by programs that know nothing of ours.

- The rules of the standard (OGC GeoPackage 1.3): ``validate_gpkg`` of the package gdal-utils, a checker in
  pure Python, with its extra checks, and its warnings taken for errors.
- The geometries: pyogrio, which reads through the library GDAL.
"""

from __future__ import annotations

import re
import warnings
from pathlib import Path

import numpy as np
import pyogrio
import pytest
import shapely
from osgeo_utils.samples import validate_gpkg

from leakmap.geometry.path import Path as Course
from leakmap.model.job import Job
from leakmap.model.joint import plan_path
from tests.helpers.job_files import database, full_job, later, make, opened, store


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A job file that was made, edited and issued."""
    path = make(tmp_path_factory.mktemp("outside"))
    with opened(path) as file:
        job = store(file, file.job, at=later(1))
        fewer = dict(list(job.leaks.items())[1:])
        file.save(job_with(job, leaks=fewer), words="Took L-01 out", user="A. Rook", at=later(2))
        file.save(job, words="Put L-01 back", user="A. Rook", at=later(3))
    return path


def job_with(job: Job, **facts: object) -> Job:
    """The job with other fields."""
    return Job(**{**{name: getattr(job, name) for name in Job.__slots__}, **facts})


def errors(path: Path) -> list[object]:
    """What the independent checker finds."""
    found = validate_gpkg.check(
        str(path), abort_at_first_error=False, extra_checks=True, warning_msg=False, warning_as_error=True
    )
    return list(found)


def read(path: Path, table: str) -> tuple[list[str], list[object], dict[str, object], list[np.ndarray]]:
    """Type, geometries and columns of a table as GDAL reads them."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # pyogrio warns where a table has no place on earth
        meta, _, geometries, columns = pyogrio.raw.read(path, layer=table)
    shapes = [] if geometries is None else list(shapely.from_wkb(geometries))
    return list(meta["fields"]), shapes, meta, columns


def test_the_independent_checker_finds_nothing(path: Path) -> None:
    """A job file obeys every requirement that the checker knows; one whose rules are broken does not."""
    assert errors(path) == []


@pytest.mark.parametrize(
    "harm",
    [
        "UPDATE gpkg_contents SET last_change = 'yesterday'",
        "DELETE FROM gpkg_spatial_ref_sys WHERE srs_id = 0",
        "UPDATE gpkg_geometry_columns SET geometry_type_name = 'POINT'",
        "UPDATE gpkg_extensions SET scope = 'none'",
    ],
)
def test_the_independent_checker_would_find_something(tmp_path: Path, harm: str) -> None:
    """The checker sees what is broken on purpose, so that finding nothing means something."""
    path = make(tmp_path)
    with database(path) as connection:
        connection.execute(harm)
    assert errors(path) != []


def test_every_joint_is_read_bit_for_bit(path: Path) -> None:
    """GDAL reads the course of every joint with the same bits, in metres of a plane without a place on earth."""
    names, shapes, meta, columns = read(path, "joints")
    refs = list(columns[names.index("ref")])
    for joint, ref, shape in zip(full_job().joints.values(), refs, shapes, strict=True):
        course = joint.path or joint.point
        wanted = course.corners if isinstance(course, Course) else (course,)
        assert ref == joint.ref
        assert shapely.get_coordinates(shape).tobytes() == np.array(wanted, dtype=float).tobytes()
    assert re.search(r"Undefined Cartesian.*met(er|re)", str(meta["crs"]), re.IGNORECASE)


def test_every_leak_is_drawn_as_long_as_it_is(path: Path) -> None:
    """As GDAL reads them, stretches on lines are as long as their chainages say, and lie on their joints."""
    job = full_job()
    names, shapes, _, columns = read(path, "leaks")
    assert list(columns[names.index("ref")]) == [leak.ref for leak in job.leaks.values()]
    for leak, shape in zip(job.leaks.values(), shapes, strict=True):
        joint = job.joints[leak.joint]
        course = plan_path(joint)
        if course is None:
            assert shape.equals(shapely.Point(joint.point))
            continue
        length = leak.to_m - leak.from_m if leak.to_m >= leak.from_m else joint.length_m + leak.to_m - leak.from_m
        assert shape.length == pytest.approx(length, abs=1e-9)
        assert shapely.LineString(course.corners).distance(shape) < 1e-9


def test_every_table_is_there_for_others(path: Path) -> None:
    """GDAL lists our tables: three with geometries, the others without."""
    layers = dict(pyogrio.list_layers(path).tolist())
    assert {name for name, kind in layers.items() if kind is not None} == {"joints", "leaks", "blind_stretches"}
    assert {"sheets", "cuts", "revisions", "papers", "journal", "rules"} <= layers.keys()


def test_the_registered_extent_is_that_of_the_geometries(path: Path) -> None:
    """The extent that others read without looking at the geometries is exactly theirs."""
    for table in ("joints", "leaks", "blind_stretches"):
        _, shapes, _, _ = read(path, table)
        assert pyogrio.read_info(path, layer=table)["total_bounds"] == tuple(shapely.total_bounds(shapes))


def test_dates_and_truth_values_are_read_as_such(path: Path) -> None:
    """GDAL knows the day a leak was seen as a date, and whether a joint is dormant as yes or no."""
    types = {
        table: dict(zip(info["fields"], info["ogr_types"], strict=True))
        for table in ("joints", "leaks")
        for info in [pyogrio.read_info(path, layer=table)]
    }
    assert types["leaks"]["seen"] == "OFTDate"
    assert types["leaks"]["from_m"] == "OFTReal"
    assert types["leaks"]["wetness"].startswith("OFTInteger")
    assert types["joints"]["dormant"].startswith("OFTInteger")
