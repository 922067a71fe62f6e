"""Filters that lists of several areas share."""

from collections.abc import Callable
from typing import Any

import django_filters as filters
from django.core.exceptions import ValidationError
from django.db.models import Q, QuerySet

from inventory.house.search import MOST_WORDS, different_words, words_of

LONGEST = 200  # letters of a text that a list is narrowed by


def few_words(text: str) -> None:
    """Refuse more different words than are asked of the database at once."""
    count = len(different_words(text))
    if count > MOST_WORDS:
        raise ValidationError(f"{count} different words; name at most {MOST_WORDS}, the rarest first.", code="words")


class TextFilter(filters.CharFilter):
    """A text of bounded length."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(max_length=LONGEST, **kwargs)


class WordsFilter(TextFilter):
    """Rows that bear every word of a text; ``bearing`` gives the condition of one word."""

    def __init__(self, bearing: Callable[[str], Q], **kwargs: Any) -> None:
        super().__init__(validators=[few_words], **kwargs)
        self.bearing = bearing

    def filter(self, qs: QuerySet[Any], value: Any) -> QuerySet[Any]:
        for word in words_of(value or ""):
            qs = qs.filter(self.bearing(word))
        return qs
