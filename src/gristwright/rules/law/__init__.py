"""Categories of whisky as rules in data files, judged on facts with four verdicts. See docs/law.md."""

from gristwright.rules.law.book import Book, Category, Rule, book_from, standard_book
from gristwright.rules.law.fitting import Fitting, covers, first_of, fitting
from gristwright.rules.law.markets import market_notes, market_problems, markets_known, unasked
from gristwright.rules.law.model import NOT_OF_BEER, categories, judge, judge_all
from gristwright.rules.law.shares import ShareRule, screen, share_rules

__all__ = [
    "NOT_OF_BEER",
    "Book",
    "Category",
    "Fitting",
    "Rule",
    "ShareRule",
    "book_from",
    "categories",
    "covers",
    "first_of",
    "fitting",
    "judge",
    "judge_all",
    "market_notes",
    "market_problems",
    "markets_known",
    "screen",
    "share_rules",
    "standard_book",
    "unasked",
]
