"""A buckle collar out of what was typed, for tests of what buckle collars alone have."""

from collections.abc import Mapping

from service.design import Collar, read_wish
from service.workshop import Workshop


def read_collar(typed: Mapping[str, str], workshop: Workshop) -> Collar:
    """The wish that typed parameters mean, which is a buckle collar's unless another kind is typed."""
    spec = read_wish(typed, workshop)
    assert isinstance(spec, Collar)
    return spec
