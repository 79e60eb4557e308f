"""What a service that customers use must not be started without."""

from service.commands.opening import NotStarted
from service.settings import Settings, demo_name
from service.storage import Database, current_catalogue


def refuse_half_set_up(settings: Settings, database: Database, workshop_id: str) -> None:
    """Raise NotStarted naming all that is wrong, where the service is to run for real."""
    if not settings.for_real:
        return
    faults = [*_of_settings(settings), *_of_store(database, workshop_id)]
    if faults:
        reasons = "\n".join(f"  - {fault}" for fault in faults)
        raise NotStarted(
            f"Not ready for customers:\n{reasons}\n"
            "For a trial that anybody may reach, set GIRTHWRIGHT_MODE=demo instead."
        )


def _of_settings(settings: Settings) -> list[str]:
    faults = []
    if not settings.origin.startswith("https://"):
        faults.append(
            f"GIRTHWRIGHT_ORIGIN is {settings.origin or 'not set'}: links and sign-ins would go unencrypted. "
            "Give the address people use, https://collars.example."
        )
    if "*" in settings.allowed_hosts:
        faults.append(
            "GIRTHWRIGHT_ALLOWED_HOSTS is *: links could be made to name other hosts. Leave it out, and the "
            "origin's host is answered."
        )
    return faults


def _of_store(database: Database, workshop_id: str) -> list[str]:
    with database.reading() as connection:
        name = current_catalogue(connection, workshop_id).rows.name
    if name != demo_name():
        return []
    fault = (
        f"The workshop is the invented demo, {name}. Put your own catalogue in force, with a name of its "
        "own: python -m service catalogue FILE; deploy/empty/workshop.toml is one to begin with."
    )
    return [fault]
