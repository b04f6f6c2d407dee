"""An enquiry answered: bills searched, judged and compared, and the dossier. See docs/casework.md."""

from gristwright.casework.recommend.customer import customer_pages
from gristwright.casework.recommend.dossier import dossier
from gristwright.casework.recommend.recommend import advise
from gristwright.casework.recommend.size import too_heavy, too_many

__all__ = ["advise", "customer_pages", "dossier", "too_heavy", "too_many"]
