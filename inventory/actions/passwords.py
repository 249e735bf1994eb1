"""Passwords that the records desk gives: shown once, outside the books."""

import secrets

from django.contrib.auth.models import User

from inventory.actions.acting import preparing
from inventory.actions.people import NotHere
from inventory.models import Membership, Station
from inventory.rules.mistakes import Mistake, Refused

LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"  # none that is taken for another when it is read aloud
GROUPS, GROUP = 4, 4  # 31 to the power of 16: 79 bits


class NotFromHere(Mistake):
    """The account may do more than any role: its password is not given by the records desk."""

    code = "not_from_here"

    def __init__(self, person: str) -> None:
        super().__init__(
            f"{person} looks after the whole site, so its password is set on the computer that serves: "
            f"manage.py changepassword {person}.",
            field="person",
        )


@preparing("people")
def give_password(username: str, *, station: Station, by: User) -> str:
    """Give a person of the station a new password; whoever was signed in with the old one is signed out.

    Returns:
        The password, which is kept nowhere in clear.

    Raises:
        Refused: nobody is called so here, or the account looks after the whole site.
    """
    member = Membership.objects.filter(station=station, user__username=username).select_related("user").first()
    if member is None:
        raise Refused([NotHere(username)])
    user = User.objects.get(pk=member.user_id)
    if (user.is_superuser or user.is_staff) and user.pk != by.pk:
        raise Refused([NotFromHere(username)])
    password = "-".join("".join(secrets.choice(LETTERS) for _ in range(GROUP)) for _ in range(GROUPS))
    user.set_password(password)
    user.save(update_fields=["password"])
    return password
