"""Whether this machine can draw and encode, asked before drawing: without GL the renderer ends the process."""

from __future__ import annotations

import os
import subprocess
import sys
from functools import lru_cache

from sim.errors import Missing

GL_REMEDY = "apt-get install libegl1 libgl1-mesa-dri"
ENCODER_REMEDY = "pip install imageio-ffmpeg"
WINDOW = "VTK_DEFAULT_OPENGL_WINDOW"
PROBE = """
from vtkmodules.vtkRenderingCore import vtkRenderWindow, vtkRenderer
import vtkmodules.vtkRenderingOpenGL2
window = vtkRenderWindow()
window.SetOffScreenRendering(1)
window.SetSize(16, 16)
window.AddRenderer(vtkRenderer())
window.Render()
print(window.GetClassName())
"""
PROBE_SECONDS = 60.0


def settle() -> None:
    """Choose the off-screen GL window where there is no display; call before pyvista is imported."""
    if sys.platform.startswith("linux") and not os.environ.get("DISPLAY"):
        os.environ.setdefault(WINDOW, "vtkEGLRenderWindow")


@lru_cache(maxsize=1)
def window_class() -> str:
    """Name of the GL window that works here, found by a child process that may crash; empty if none does."""
    settle()
    try:
        answer = subprocess.run(
            [sys.executable, "-c", PROBE], capture_output=True, text=True, timeout=PROBE_SECONDS, check=False
        )
    except (subprocess.TimeoutExpired, OSError):
        return ""
    return answer.stdout.strip() if answer.returncode == 0 else ""


def need_gl() -> None:
    """Refuse in one line where nothing can be drawn.

    Raises
    ------
    Missing
        When a trial window fails; the text names what brings GL.
    """
    if not window_class():
        raise Missing(f"pictures need OpenGL, which does not work here; Debian: {GL_REMEDY}")


def encoder() -> str:
    """Path of the film encoder.

    Raises
    ------
    Missing
        When it is not installed; the text names what brings it.
    """
    try:
        import imageio_ffmpeg  # a heavy optional part, wanted here alone

        return str(imageio_ffmpeg.get_ffmpeg_exe())
    except (ImportError, RuntimeError):
        raise Missing(f"films need an encoder, which is not installed; {ENCODER_REMEDY}") from None
