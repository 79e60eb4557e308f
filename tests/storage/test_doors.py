"""Links, members, sessions, keys, tries and mail: what opens, what is closed for good, and what waits."""

from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy.exc import DBAPIError

from service.storage import (
    ApiKey,
    Database,
    Link,
    Mail,
    Member,
    MemberSession,
    NotKept,
    StaleWrite,
    Tries,
    add_api_key,
    add_member,
    api_key_by_hash,
    api_key_seen,
    api_keys_of,
    change_member,
    count_try,
    end_session,
    forget_tries,
    forget_tries_before,
    link_by_token,
    link_seen,
    links_of,
    mail_failed,
    mail_given_up,
    mail_sent,
    mail_waiting,
    make_link,
    member_by_name,
    members_of,
    move_link_end,
    queue_mail,
    record_of,
    revoke_api_key,
    revoke_link,
    session_of,
    session_seen,
    sessions_of,
    start_session,
    take_due_mail,
    token_hash,
    tries,
)
from tests.storage.makers import NOON, SHOP, act, new_id, open_shop, shop_with_an_order

TOKEN = "uncommonly-long-and-random-token-of-a-link1"  # noqa: S105 - opens nothing but a test's link
WEEK = NOON + timedelta(days=7)
LATER = NOON + timedelta(minutes=5)
MEMBER = Member("member-1", SHOP, "Mo", "hash-of-a-password", "owner", None, NOON)
ANOTHER = "hash-of-another"
SESSION = MemberSession("s" * 64, MEMBER.id, "a phone", NOON, NOON, WEEK)


def test_a_link_is_found_by_its_token_of_which_only_the_hash_is_kept(database: Database) -> None:
    order = shop_with_an_order(database)
    made = Link(new_id("link"), order.id, "proof", "Ada's phone", token_hash(TOKEN), NOON, WEEK)
    with database.writing() as connection:
        make_link(connection, made, act())
        link_seen(connection, made.id, LATER)
    with database.reading() as connection:
        found = link_by_token(connection, TOKEN)
        assert found == replace(made, seen_at=LATER)
        assert link_by_token(connection, TOKEN[:-1]) is None
        assert links_of(connection, order.id) == (found,)
        assert TOKEN not in str([*connection.exec_driver_sql("SELECT * FROM link")])
        assert TOKEN not in str(record_of(connection, SHOP))


def test_a_link_opens_until_it_expires_is_extended_or_revoked(database: Database) -> None:
    order = shop_with_an_order(database)
    made = Link(new_id("link"), order.id, "order", "Ada", token_hash(TOKEN), NOON, WEEK)
    assert made.open_at(WEEK - timedelta(microseconds=1))
    assert not made.open_at(WEEK)
    with database.writing() as connection:
        make_link(connection, made, act())
        move_link_end(connection, made.id, WEEK + timedelta(days=1), act())
        (longer,) = links_of(connection, order.id)
        assert longer.open_at(WEEK)
        revoke_link(connection, made.id, act(minutes=1))
        revoke_link(connection, made.id, act(minutes=2))
        (closed,) = links_of(connection, order.id)
        actions = [entry.fact.action for entry in record_of(connection, SHOP, order.id)]
        with pytest.raises(NotKept):
            revoke_link(connection, "link-0", act())
    assert closed.revoked_at == act(minutes=1).at
    assert not closed.open_at(NOON)
    assert actions == ["enquiry", "link-made", "link-extended", "link-revoked"]


def signed_in(database: Database) -> None:
    with database.writing() as connection:
        open_shop(connection)
        add_member(connection, MEMBER, act("service", "start"))
        start_session(connection, SESSION, act())


def test_a_session_runs_until_it_expires_or_is_ended(database: Database) -> None:
    signed_in(database)
    with database.writing() as connection:
        session_seen(connection, SESSION.token_hash, LATER)
        seen = replace(SESSION, seen_at=LATER)
        assert session_of(connection, SESSION.token_hash, LATER) == (seen, MEMBER)
        assert session_of(connection, SESSION.token_hash, WEEK) is None
        assert session_of(connection, "t" * 64, LATER) is None
        assert sessions_of(connection, MEMBER.id) == (seen,)
        end_session(connection, SESSION.token_hash, act())
        assert session_of(connection, SESSION.token_hash, LATER) is None
        assert sessions_of(connection, MEMBER.id) == ()


def test_another_password_or_leaving_ends_every_session(database: Database) -> None:
    signed_in(database)
    with database.writing() as connection:
        change_member(connection, replace(MEMBER, password_hash=ANOTHER), act())
        assert session_of(connection, SESSION.token_hash, LATER) is None
        now = member_by_name(connection, SHOP, "Mo")
        assert now == replace(MEMBER, password_hash=ANOTHER, row_version=2)
        start_session(connection, replace(SESSION, token_hash="u" * 64), act())
        change_member(connection, replace(now, left_at=LATER), act())
        assert session_of(connection, "u" * 64, LATER) is None
        assert len(members_of(connection, SHOP)) == 1
        assert member_by_name(connection, SHOP, "Nobody") is None
    with pytest.raises(StaleWrite), database.writing() as connection:
        change_member(connection, MEMBER, act())


@pytest.mark.parametrize("wrong", [{"name": "Mo"}, {"role": "king"}])
def test_a_name_is_taken_once_and_a_role_is_one_of_three(database: Database, wrong: dict[str, str]) -> None:
    signed_in(database)
    other = replace(MEMBER, id="member-2", **{"name": "Jo", **wrong})  # type: ignore[arg-type]
    with pytest.raises(DBAPIError), database.writing() as connection:
        add_member(connection, other, act())


def test_tries_are_counted_and_forgotten(database: Database) -> None:
    counted = Tries("sign-in:mo", 3, NOON, LATER)
    with database.writing() as connection:
        assert tries(connection, "sign-in:mo") is None
        count_try(connection, replace(counted, tries=2))
        count_try(connection, counted)
        assert tries(connection, "sign-in:mo") == counted
        forget_tries_before(connection, NOON)
        assert tries(connection, "sign-in:mo") == counted
        forget_tries_before(connection, WEEK)
        assert tries(connection, "sign-in:mo") is None
        count_try(connection, counted)
        forget_tries(connection, "sign-in:mo")
        assert tries(connection, "sign-in:mo") is None


def test_a_key_is_in_force_until_it_is_revoked(database: Database) -> None:
    key = ApiKey(new_id("key"), SHOP, "the shop's own site", token_hash(TOKEN), NOON)
    with database.writing() as connection:
        open_shop(connection)
        add_api_key(connection, key, act())
        assert api_key_by_hash(connection, token_hash(TOKEN)) == key
        api_key_seen(connection, key.id, NOON)
        key = replace(key, seen_at=NOON)
        assert api_key_by_hash(connection, token_hash(TOKEN)) == key
        revoke_api_key(connection, key.id, act(minutes=1))
        revoke_api_key(connection, key.id, act(minutes=2))
        assert api_key_by_hash(connection, token_hash(TOKEN)) is None
        assert api_keys_of(connection, SHOP) == (replace(key, revoked_at=act(minutes=1).at),)


def test_mail_is_taken_by_one_sender_tried_again_and_given_up(database: Database) -> None:
    order = shop_with_an_order(database)
    mail = Mail(new_id("mail"), SHOP, order.id, "proof-link", 1, NOON, NOON)
    other = replace(mail, id=new_id("mail"), due_at=WEEK)
    with database.writing() as connection:
        queue_mail(connection, mail)
        queue_mail(connection, other)
        assert mail_waiting(connection).waiting == 2
        queue_mail(connection, mail)
        assert mail_waiting(connection).waiting == 2, "queued twice, it is one mail"
        assert take_due_mail(connection, NOON, LATER) == mail
        assert take_due_mail(connection, NOON, LATER) is None
        mail_failed(connection, mail, "no route", LATER)
        again = take_due_mail(connection, LATER, WEEK)
        assert again is not None
        assert (again.tries, again.trouble) == (1, "no route")
        mail_sent(connection, mail.id, LATER)
        mail_given_up(connection, other, "no such address", LATER)
        state = mail_waiting(connection)
        assert (state.waiting, state.oldest, state.given_up) == (0, None, 1)
        assert take_due_mail(connection, WEEK, WEEK) is None


def test_mail_of_a_writing_that_failed_is_not_sent(database: Database) -> None:
    order = shop_with_an_order(database)
    mail = Mail(new_id("mail"), SHOP, order.id, "proof-link", 1, NOON, NOON)

    def fail() -> None:
        with database.writing() as connection:
            queue_mail(connection, mail)
            raise RuntimeError

    with pytest.raises(RuntimeError):
        fail()
    with database.reading() as connection:
        assert mail_waiting(connection).waiting == 0
