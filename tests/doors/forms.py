"""A page's form as a browser would send it unchanged."""

from html.parser import HTMLParser


class _Form(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.values: dict[str, str] = {}
        self.select = self.area = ""

    def handle_starttag(self, tag, attrs):
        told = dict(attrs)
        name = told.get("name") or ""
        if tag == "input" and name:
            is_box = told.get("type") in {"checkbox", "radio"}
            if not is_box or "checked" in told:
                self.values[name] = told.get("value") or ""
        elif tag == "select":
            self.select = name
        elif (
            tag == "option"
            and self.select
            and (self.select not in self.values or "selected" in told)
        ):
            self.values[self.select] = told.get("value") or ""
        elif tag == "textarea":
            self.area = name
            self.values[name] = ""

    def handle_endtag(self, tag):
        if tag == "select":
            self.select = ""
        elif tag == "textarea":
            self.area = ""

    def handle_data(self, data):
        if self.area:
            self.values[self.area] += data


def values_of(page: str) -> dict[str, str]:
    """The fields of the last form of the page's main part that posts."""
    main = page[page.index("<main") :]
    forms = [f"<form {part}".partition("</form>")[0] for part in main.split("<form ")[1:]]
    form = _Form()
    form.feed(max((f for f in forms if 'method="post"' in f), key=len))
    form.values.pop("csrfmiddlewaretoken", None)
    return form.values
