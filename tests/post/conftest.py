"""Certificates for the tests' mail server are made once."""

from tests.post.mail_server import certificates

__all__ = ["certificates"]
