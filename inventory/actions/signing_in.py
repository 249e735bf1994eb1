"""Keep count of wrong passwords; no act of the ledger."""

from datetime import datetime, timedelta

from inventory.models import WrongPassword
from inventory.queries.signing_in import account_key

_KEPT_FOR = timedelta(days=1)


def note_wrong_password(account: str, *, at: datetime) -> None:
    """Count a wrong password, and drop what is older than a day."""
    WrongPassword.objects.filter(at__lt=at - _KEPT_FOR).delete()
    WrongPassword.objects.create(account=account_key(account), at=at)


def forget_wrong_passwords(account: str) -> None:
    """Start anew after a right password."""
    WrongPassword.objects.filter(account=account_key(account)).delete()
