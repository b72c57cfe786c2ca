"""The close button of a window's frame, for a screen that has no frames.

It sends the message WM_DELETE_WINDOW of the Inter-Client Communication Conventions Manual, section 4.1.2.7
and 4.2.8.1 (numbers from memory), as a frame does, through the system's own X library.
"""

from __future__ import annotations

import ctypes

CLIENT_MESSAGE = 33  # X.h


class ClientMessage(ctypes.Structure):
    """XClientMessageEvent of Xlib.h, padded to the size of an XEvent."""

    _fields_ = (
        ("type", ctypes.c_int),
        ("serial", ctypes.c_ulong),
        ("send_event", ctypes.c_int),
        ("display", ctypes.c_void_p),
        ("window", ctypes.c_ulong),
        ("message_type", ctypes.c_ulong),
        ("format", ctypes.c_int),
        ("words", ctypes.c_long * 5),
        ("rest", ctypes.c_long * 24),
    )


def ask_to_close(screen: str, window: int) -> None:
    """Ask the program that owns a window to close it."""
    x = ctypes.CDLL("libX11.so.6")
    x.XOpenDisplay.restype = ctypes.c_void_p
    x.XInternAtom.restype = ctypes.c_ulong
    x.XInternAtom.argtypes = (ctypes.c_void_p, ctypes.c_char_p, ctypes.c_int)
    x.XSendEvent.argtypes = (ctypes.c_void_p, ctypes.c_ulong, ctypes.c_int, ctypes.c_long, ctypes.c_void_p)
    x.XSync.argtypes = (ctypes.c_void_p, ctypes.c_int)
    x.XCloseDisplay.argtypes = (ctypes.c_void_p,)
    display = x.XOpenDisplay(screen.encode())
    message = ClientMessage(type=CLIENT_MESSAGE, window=window, format=32)
    message.message_type = x.XInternAtom(display, b"WM_PROTOCOLS", 0)
    message.words[0] = x.XInternAtom(display, b"WM_DELETE_WINDOW", 0)
    x.XSendEvent(display, window, 0, 0, ctypes.byref(message))
    x.XSync(display, 0)
    x.XCloseDisplay(display)
