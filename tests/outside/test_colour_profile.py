"""Our colour profile against the sRGB of an independent library of colour management (behind Pillow)."""

from __future__ import annotations

import io

import numpy as np
from PIL import Image, ImageCms

from leakmap.issue.colour_profile import srgb_profile


def test_colours_stay_what_they_are_in_another_sRGB() -> None:  # noqa: N802 - the name of the space
    """Every fifteenth of red, green and blue comes out within one step of 255."""
    steps = np.arange(0, 256, 15, dtype=np.uint8)
    cube = np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(-1, len(steps), 3)
    ours = ImageCms.ImageCmsProfile(io.BytesIO(srgb_profile()))
    turned = ImageCms.profileToProfile(Image.fromarray(cube), ours, ImageCms.createProfile("sRGB"))
    assert turned is not None
    assert int(np.abs(np.asarray(turned).astype(int) - cube).max()) <= 1


def test_the_profile_is_of_a_version_that_archives_know() -> None:
    """Version 2, for screens, red green blue to XYZ: PDF/A-1 stands on PDF 1.4, which knows no later one."""
    ours = ImageCms.ImageCmsProfile(io.BytesIO(srgb_profile())).profile
    assert (int(ours.version), ours.device_class, ours.xcolor_space.strip(), ours.connection_space.strip()) == (
        2,
        "mntr",
        "RGB",
        "XYZ",
    )
