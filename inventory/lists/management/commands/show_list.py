"""``manage.py show_list``: any list as its page has it, narrowed, in order, by chosen columns, or counted by one."""

from typing import Any

from django.core.management.base import CommandParser
from django.http import QueryDict

from inventory.holdings.queries.kept_views import view_named
from inventory.holdings.queries.paid import NO_CURRENCY, Paid
from inventory.house.command import AnswerCommand, BadInput
from inventory.lists.queries.asked import AskedList, asked_list, check_names
from inventory.lists.queries.out import LISTS

MOST = 50  # rows that are told unless another number is asked for


class Command(AnswerCommand):
    help = "A list as its page has it: narrowed, in order, by chosen columns, or counted by one of them."

    def options(self, parser: CommandParser) -> None:
        parser.add_argument("list", help=f"one of: {', '.join(LISTS)}")
        parser.add_argument("--where", default="", help='as the address of its page says it: "state=good&maker=RCA"')
        parser.add_argument("--order", help="columns, a hyphen before one for backwards; so --order=-price-paid,tag")
        parser.add_argument("--columns", help="the columns to show: type,state,price-paid")
        parser.add_argument("--group", help="count the rows by this column")
        parser.add_argument("--largest-first", action="store_true", help="the largest groups first")
        parser.add_argument(
            "--view", help="a view that is kept and shared, by its name; what else is said comes on top"
        )
        parser.add_argument("--most", type=int, default=MOST, help=f"rows to tell, {MOST} unless said; 0 for all")

    def answer(self, **options: Any) -> dict[str, Any]:
        one = LISTS.get(options["list"])
        if one is None:
            raise BadInput(f"There is no list {options['list']!r}; there are {', '.join(LISTS)}.")
        view = view_named(one.name, options["view"]) if options["view"] else None
        query = QueryDict(view.query if view else "", mutable=True)
        for name, values in QueryDict(options["where"]).lists():
            query.setlist(name, values)
        for name in ("order", "columns", "group"):
            if options[name]:
                query[name] = options[name]
        check_names(one, query)
        asked, most = asked_list(one, query), options["most"] or None
        told = {"list": one.name, "title": one.title, "count": asked.found.count()}
        if group := query.get("group"):
            return told | _groups(asked, group, options["largest_first"], most)
        return told | {"headings": asked.headings, "rows": [list(map(_plain, row)) for row in asked.values(most)]}

    def show(self, answer: dict[str, Any]) -> None:
        self.stdout.write(f"{answer['title']}: {answer['count']}")
        for group in answer.get("groups", ()):
            sums = "".join(f", {name.lower()} {total}" for name, total in group["sums"].items() if total)
            self.stdout.write(f"  {group['value'] or 'none'}: {group['count']}{sums}{_paid_words(group.get('paid'))}")
        if "groups" in answer and len(answer["groups"]) < answer["group_count"]:
            self.stdout.write(f"  and {answer['group_count'] - len(answer['groups'])} more: --most 0 tells all")
        for row in answer.get("rows", ()):
            pairs = zip(answer["headings"], row, strict=True)
            self.stdout.write("  " + "; ".join(f"{name} {text}" for name, text in pairs if text not in ("", None)))
        if "rows" in answer and len(answer["rows"]) < answer["count"]:
            self.stdout.write(f"  and {answer['count'] - len(answer['rows'])} more: --most 0 tells all")


def _paid_words(paid: Any) -> str:
    """Behind a group what was paid, by money, and how many prices are not in it."""
    if not paid:
        return ""
    told = ", ".join(f"{amount} {currency or NO_CURRENCY}" for currency, amount in paid["sums"].items())
    left = ", ".join(f"{many} {reason}" for reason, many in paid["not_counted"].items())
    return (f", paid {told}" if told else "") + (f" (prices not in it: {left})" if left else "")


def _plain(value: Any) -> Any:
    """A value as JSON holds it: numbers and nothing stay what they are, all else is a text (days as ISO 8601)."""
    return value if value is None or isinstance(value, (bool, int, float)) else str(value)


def _groups(asked: AskedList, key: str, largest_first: bool, most: int | None) -> dict[str, Any]:
    rows = asked.groups(key, largest_first=largest_first)
    paid = asked.paid(key)
    told = [
        {
            "value": _plain(values["grouped"]) or None, "count": values["count"],
            "sums": asked.one.told_sums(values),
            **({} if paid is None else {"paid": paid.get(values["grouped"], Paid()).as_dict()}),
        }
        for values in rows[:most]
    ]  # fmt: skip
    return {"group": key, "group_count": rows.count() if most else len(told), "groups": told}
