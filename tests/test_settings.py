from dataclasses import fields
from pathlib import Path

import pytest

from service.settings import LOOPBACK, ROOT, Settings, SettingUnusable, read_settings


def test_with_nothing_set_the_service_answers_this_machine_only() -> None:
    settings = read_settings({}, {})
    assert settings == Settings()
    assert (settings.host, settings.port, settings.allowed_hosts) == ("127.0.0.1", 8000, LOOPBACK)


def test_the_command_line_comes_before_the_environment() -> None:
    environment = {"GIRTHWRIGHT_PORT": "8001", "GIRTHWRIGHT_DATA": "/srv/collars"}
    assert read_settings({"port": None}, environment).port == 8001
    assert read_settings({"port": "8002"}, environment).port == 8002
    assert read_settings({}, environment).data == Path("/srv/collars")


def test_every_setting_can_come_from_the_environment() -> None:
    environment = {
        "GIRTHWRIGHT_DATA": "/data",
        "GIRTHWRIGHT_HOST": "192.168.1.5",
        "GIRTHWRIGHT_PORT": "80",
        "GIRTHWRIGHT_ORIGIN": "https://collars.example/",
        "GIRTHWRIGHT_ALLOWED_HOSTS": "a.example, b.example",
        "GIRTHWRIGHT_QUERY_MAX": "1000",
        "GIRTHWRIGHT_BODY_MAX": "0",
        "GIRTHWRIGHT_CONNECTIONS_MAX": "50",
        "GIRTHWRIGHT_KEEP_ALIVE_S": "5",
        "GIRTHWRIGHT_GRACE_S": "0",
        "GIRTHWRIGHT_PROXIES": "10.0.0.1",
    }
    assert read_settings({}, environment) == Settings(
        data=Path("/data"),
        host="192.168.1.5",
        port=80,
        origin="https://collars.example",
        allowed_hosts=("a.example", "b.example"),
        query_max=1000,
        body_max=0,
        connections_max=50,
        keep_alive_s=5,
        grace_s=0,
        proxies="10.0.0.1",
    )


def test_with_an_origin_its_host_is_answered_too() -> None:
    assert read_settings({"origin": "https://collars.example:8443"}, {}).allowed_hosts == (
        "collars.example",
        *LOOPBACK,
    )


def test_open_to_others_without_an_origin_every_host_name_is_answered() -> None:
    assert read_settings({"host": "0.0.0.0"}, {}).allowed_hosts == ("*",)  # noqa: S104 - nothing is bound
    assert read_settings({"host": "::1"}, {}).allowed_hosts == LOOPBACK


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("port", "0"),
        ("port", "65536"),
        ("port", "eighty"),
        ("port", "٨٠"),
        ("port", "9" * 5000),
        ("port", "-1"),
        ("origin", "collars.example"),
        ("origin", "ftp://collars.example"),
        ("origin", "https://collars.example/shop"),
        ("origin", "https://collars.example\r\nX: y"),
        ("query_max", "10"),
        ("keep_alive_s", "1.5"),
    ],
)
def test_a_setting_that_cannot_be_used_is_named_with_what_would_do(name: str, value: str) -> None:
    with pytest.raises(SettingUnusable, match="give a") as caught:
        read_settings({}, {f"GIRTHWRIGHT_{name.upper()}": value})
    assert caught.value.name == f"GIRTHWRIGHT_{name.upper()}"
    with pytest.raises(SettingUnusable, match=f"^--{name}"):
        read_settings({name: value}, {})


def test_every_setting_is_in_the_readme() -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    for field in fields(Settings):
        assert f"_{field.name.upper()}`" in text, field.name
