"""Jobs in rows: revisions of the site, the record entry by entry, and what is worked out of them.

A revision is a site with what it embeds (`Content`, shared by revisions that left it as it was)
and all entries up to it. Contents, revisions and entries are never changed, which the database
itself sees to (migration 0002); that they go only when the whole job is erased, the store does.
"""

import uuid

from django.db import models
from django.utils import timezone

from pathproof.web.people.models import Person


class StoredJob(models.Model):
    """A job, by the state it is in now."""

    id = models.UUIDField(primary_key=True, default=uuid.uuid4, editable=False)
    revision = models.PositiveIntegerField()
    name = models.CharField(max_length=200)
    reference = models.CharField(max_length=2000, blank=True)
    search = models.TextField()
    """Name and reference, case folded."""
    saved_at = models.DateTimeField(default=timezone.now)

    class Meta:
        indexes = [models.Index(fields=["-saved_at"])]

    def __str__(self) -> str:
        return self.name


class Content(models.Model):
    """A site and what it embeds, as JSON."""

    job = models.ForeignKey(StoredJob, on_delete=models.CASCADE, related_name="contents")
    sha256 = models.CharField(max_length=64)
    site = models.TextField()
    embedded = models.TextField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "sha256"], name="content_once")]


class Revision(models.Model):
    """One save: who, when and what."""

    job = models.ForeignKey(StoredJob, on_delete=models.CASCADE, related_name="revisions")
    number = models.PositiveIntegerField()
    content = models.ForeignKey(Content, on_delete=models.RESTRICT)
    hash = models.CharField(max_length=64)
    at = models.DateTimeField(default=timezone.now)
    by = models.CharField(max_length=100)
    what = models.CharField(max_length=200)
    """What was done, such as "walk test of Kiln room door"."""

    class Meta:
        ordering = ["-number"]
        constraints = [models.UniqueConstraint(fields=["job", "number"], name="revision_once")]


class StoredEntry(models.Model):
    """One record entry as JSON, and the revision that brought it."""

    job = models.ForeignKey(StoredJob, on_delete=models.CASCADE, related_name="entries")
    entry_id = models.CharField(max_length=64)
    revision = models.PositiveIntegerField()
    place = models.PositiveIntegerField()
    body = models.TextField()

    class Meta:
        ordering = ["place"]
        constraints = [
            models.UniqueConstraint(fields=["job", "entry_id"], name="entry_once"),
            models.UniqueConstraint(fields=["job", "place"], name="place_once"),
        ]


class Standing(models.Model):
    """What the assessment said of a job last, for lists; worked out anew every day."""

    job = models.OneToOneField(StoredJob, on_delete=models.CASCADE, related_name="standing")
    revision = models.PositiveIntegerField()
    as_of = models.DateTimeField()
    day = models.DateField()
    """The day of `as_of` at the site."""
    word = models.CharField(max_length=10, blank=True)
    """Empty where it could not be worked out."""
    why = models.TextField()
    proven = models.PositiveIntegerField(default=0)
    predicted = models.PositiveIntegerField(default=0)
    undecided = models.PositiveIntegerField(default=0)
    lacking = models.PositiveIntegerField(default=0)
    library = models.CharField(max_length=64, default="")
    """Stamp of what the library said."""
    due_on = models.DateField(null=True)
    due_what = models.TextField(blank=True)


class Sent(models.Model):
    """A form that was sent, by the key its page made, so that sending it again changes nothing."""

    key = models.UUIDField()
    person = models.ForeignKey(Person, on_delete=models.CASCADE)
    digest = models.CharField(max_length=64)
    job = models.ForeignKey(StoredJob, on_delete=models.CASCADE)
    revision = models.PositiveIntegerField()
    contest = models.ForeignKey("Contest", null=True, on_delete=models.CASCADE)
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["person", "key", "digest"], name="sent_once")
        ]


class ErasedForm(models.Model):
    """The key of a form that made a job which was erased since; nothing else is kept of it."""

    key = models.UUIDField(unique=True)


class Contest(models.Model):
    """A change that met another one of the same pieces: both are kept until somebody chooses."""

    job = models.ForeignKey(StoredJob, on_delete=models.CASCADE, related_name="contests")
    based_on = models.PositiveIntegerField()
    met = models.PositiveIntegerField()
    """The revision that it met."""
    pieces = models.JSONField()
    """Pieces as this change would have them; null takes one out."""
    kept = models.JSONField()
    """The entries it would add (`record`) and what site and entries then refer to (`embedded`)."""
    why = models.TextField(blank=True)
    """Why it could not be put on top, where that is no clash of one piece."""
    by = models.CharField(max_length=100)
    at = models.DateTimeField(default=timezone.now)
    what = models.CharField(max_length=200)
    settled_at = models.DateTimeField(null=True)
    settled_by = models.CharField(max_length=100, blank=True)
    settled_how = models.CharField(max_length=10, blank=True)
    """`mine` or `theirs`."""


class Picture(models.Model):
    """The picture under a storey's plan, by its hash."""

    job = models.ForeignKey(StoredJob, on_delete=models.CASCADE, related_name="pictures")
    sha256 = models.CharField(max_length=64)
    png = models.BinaryField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "sha256"], name="picture_once")]


class Paper(models.Model):
    """A paper that was made, as it was made."""

    job = models.ForeignKey(StoredJob, on_delete=models.CASCADE, related_name="papers")
    revision = models.PositiveIntegerField()
    kind = models.CharField(max_length=20)
    made_at = models.DateTimeField(default=timezone.now)
    made_by = models.CharField(max_length=100)
    word = models.CharField(max_length=10)
    sha256 = models.CharField(max_length=64)
    pdf = models.BinaryField()

    class Meta:
        ordering = ["-made_at"]


class CustomerLink(models.Model):
    """A link to one job's plain answer; only the hash of its secret is kept."""

    job = models.ForeignKey(StoredJob, on_delete=models.CASCADE, related_name="links")
    digest = models.CharField(max_length=64, unique=True)
    note = models.CharField(max_length=100, blank=True)
    """For whom it is."""
    made_at = models.DateTimeField(default=timezone.now)
    made_by = models.CharField(max_length=100)
    expires_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True)
    withdrawn_by = models.CharField(max_length=100, blank=True)
    seen_at = models.DateTimeField(null=True)


class SignalColumns(models.Model):
    """How the columns of one kind of signal list are to be read, once somebody said so."""

    shape = models.CharField(max_length=64, unique=True)
    """Hash of what such lists have in common: their heading or number of columns."""
    columns = models.JSONField()
    by = models.CharField(max_length=100)
    at = models.DateTimeField(default=timezone.now)
