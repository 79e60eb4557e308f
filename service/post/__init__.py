"""Outgoing mail: what each says, and how it gets to its server."""

from service.post.delivery import Post, Round, delay_of, deliver

__all__ = ["Post", "Round", "delay_of", "deliver"]
