"""What holds for every test."""

from hypothesis import settings

# An example may take its time: a slow machine is no fault in what is tested.
settings.register_profile("unhurried", settings(), deadline=None)
settings.load_profile("unhurried")
