"""People with an account."""

from typing import ClassVar

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.contrib.auth.validators import UnicodeUsernameValidator
from django.db import connections, models
from django.utils import timezone


class Role(models.TextChoices):
    """What a person does; the office may also erase jobs and manage accounts."""

    OFFICE = "office", "office"
    TECHNICIAN = "technician", "technician"


class People(BaseUserManager["Person"]):
    """Makes accounts."""

    def create_user(self, username: str, name: str, role: Role, password: str) -> "Person":
        """A new account with that password, saved."""
        person = self.model(username=self.model.normalize_username(username), name=name, role=role)
        person.set_password(password)
        person.save(using=self._db)
        return person

    def hold(self) -> None:
        """Others who want to add accounts wait until the transaction ends.

        SQLite lets one transaction write at a time as it is.
        """
        connection = connections[self.db]
        if connection.vendor == "postgresql":
            with connection.cursor() as cursor:
                cursor.execute("LOCK TABLE people_person IN SHARE ROW EXCLUSIVE MODE")


class Person(AbstractBaseUser):
    """Somebody with an account. `name` is what the record says as who."""

    username = models.CharField(
        "sign-in name", max_length=60, unique=True, validators=[UnicodeUsernameValidator()]
    )
    name = models.CharField(max_length=100)
    role = models.CharField(max_length=12, choices=Role.choices, default=Role.TECHNICIAN)
    is_active = models.BooleanField("may sign in", default=True)
    since = models.DateTimeField(default=timezone.now, editable=False)

    objects = People()

    USERNAME_FIELD = "username"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name", "role"]

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(role__in=Role.values), name="known_role")
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def is_office(self) -> bool:
        """Whether this person may also erase jobs and manage accounts."""
        return self.role == Role.OFFICE
