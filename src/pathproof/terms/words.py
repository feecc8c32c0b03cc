"""The words a judgement is made of."""

from enum import StrEnum


class Word(StrEnum):
    """What is known of a link, a signal or a site."""

    PROVEN = "proven"  # evidence on record meets the requirement and still fits
    PREDICTED = "predicted"  # the calculation meets it; not shown by evidence
    UNDECIDED = "undecided"  # an input is missing, or the limit is not confirmed
    LACKING = "lacking"  # the calculation or the evidence misses it


class Reason(StrEnum):
    """Why a link is undecided."""

    INPUT = "input"  # something about the site or a reading is missing
    LIMIT = "limit"  # the limit is known from memory and nobody confirmed it
    CALCULATION = "calculation"  # this version does not work this kind of link out yet


class Evidence(StrEnum):
    """How sure we are of a source."""

    READ = "read"  # in the standard's own text
    RESTATED = "restated"  # public restatement or an open library
    COMPUTED = "computed"  # worked out in two independent ways
    PRACTICE = "practice"  # common practice, no source
    MEMORY = "memory"  # from memory: check your own copy


class Severity(StrEnum):
    """How pressing a finding is, most pressing first."""

    SAFETY = "safety"  # someone could be hurt
    FAULT = "fault"  # a signal will not get through
    GAP = "gap"  # something is missing before a judgement is possible
    ADVICE = "advice"  # worth doing, nothing fails without it
