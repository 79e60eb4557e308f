"""Where a workshop's own data is kept and read from."""

from service.storage.catalogue import load_workshop

__all__ = ["load_workshop"]
