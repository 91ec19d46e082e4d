"""Calls of the system, watched, failed and used as moments to kill at, by way of `strace`."""

from program import need


def without_links():
    """What starts the program as if its disk had no links."""
    return [need("strace"), "-f", "-qq", "-o", "/dev/null", "-e", "trace=link,linkat", "-e", "inject=link,linkat:error=EPERM"]
