"""What the owner does on the machine itself, the desk open or not: the lock, a lost password. See docs/desk.md."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from gristwright.basics import Address, Problem, Refused
from gristwright.files.data_folder import VARIABLE, data_folder

if TYPE_CHECKING:
    from django.contrib.auth.models import User

OPEN_ONE = f"Open one with gristwright serve, or set {VARIABLE} to the folder in which yours is."


def owner() -> User:
    """The owner of the desk that is kept in the data folder. Raises Refused where there is none, and makes nothing."""
    folder = data_folder()
    if not (folder / "desk.sqlite3").is_file():
        raise Refused([Problem(Address(str(folder)), "holds no desk.", OPEN_ONE)])
    os.umask(0o077)
    from gristwright.workbench.serving import is_open, refuse_unfit
    from gristwright.workbench.worker import set_up

    set_up()
    if not is_open(folder):
        refuse_unfit(folder)
    from django.contrib.auth.models import User
    from django.db import DatabaseError

    try:
        found = User.objects.order_by("pk").first()
    except DatabaseError as fault:
        what = f"cannot be read as the data of a desk ({fault})."
        way_out = "Put a copy of it back; docs/desk.md says how."
        raise Refused([Problem(Address(str(folder / "desk.sqlite3")), what, way_out)]) from None
    if found is None:
        what, way_out = "holds a desk that nobody has made their own yet.", "Open it with gristwright serve and begin."
        raise Refused([Problem(Address(str(folder)), what, way_out)])
    return found


def unlock() -> str:
    """Let the owner sign in again at once after wrong passwords; what was done, in a sentence. Raises Refused."""
    who = owner()
    from gristwright.workbench import wrong_passwords

    if wrong_passwords.forget():
        return f"The wrong passwords are forgotten; {who.get_username()} can sign in again."
    return f"No wrong password was counted; {who.get_username()} can sign in."


def change_password(who: User, password: str, again: str) -> str:
    """Another password for the owner; every browser has to come in again. What was done; raises Refused."""
    from django.contrib.auth.password_validation import validate_password
    from django.contrib.sessions.models import Session
    from django.core.exceptions import ValidationError

    from gristwright.workbench import wrong_passwords
    from gristwright.workbench.turns import turn

    if password != again:
        raise Refused([Problem("New password", "the two differ.", "Nothing was changed; write the same one twice.")])
    try:
        validate_password(password, who)
    except ValidationError as fault:
        raise Refused([Problem("New password", text, "Nothing was changed.") for text in fault.messages]) from None
    with turn():
        who.set_password(password)
        who.save(update_fields=["password"])
        Session.objects.all().delete()
        wrong_passwords.forget()
    return f"The password of {who.get_username()} was changed. Every browser has to sign in again."
