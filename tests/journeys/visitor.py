"""A visitor who opens pages of the service and notes what goes wrong on them."""

from collections.abc import Callable
from dataclasses import dataclass, field

from playwright.sync_api import Browser, BrowserContext, ConsoleMessage, Page, Request, Response

from tests.journeys import secrets

SHORT = 20
"""A cookie of fewer characters is a choice, no secret."""
SHIFTS = """
window.shifts = [];
new PerformanceObserver((list) => {
  for (const entry of list.getEntries()) window.shifts.push(entry.value);
}).observe({ type: "layout-shift", buffered: true });
"""


@dataclass
class Watch:
    """What went wrong on a page: breaches of its policy, faults, requests to elsewhere, secrets told."""

    base: str
    breaches: list[str] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)
    elsewhere: list[str] = field(default_factory=list)
    told: list[str] = field(default_factory=list)

    def follow(self, page: Page) -> None:
        page.on("console", self._heard)
        page.on("pageerror", lambda fault: self.faults.append(str(fault)))
        page.on("request", self._sent)
        page.on("response", self._answered)

    def _heard(self, message: ConsoleMessage) -> None:
        if "Content Security Policy" in message.text:
            self.breaches.append(message.text)

    def _sent(self, request: Request) -> None:
        secrets.seen |= secrets.in_text(request.url)
        if not request.url.startswith(f"{self.base}/"):
            self.elsewhere.append(request.url)

    def _answered(self, answer: Response) -> None:
        self.told += secrets.in_headers(answer.headers, secrets.seen)

    def leave(self, context: BrowserContext) -> None:
        """Note what the visitor held in the end, and close every page."""
        secrets.seen |= {str(one["value"]) for one in context.cookies() if len(str(one["value"])) > SHORT}
        for page in context.pages:
            secrets.seen |= secrets.in_text(page.content())
        context.close()


@dataclass
class Visitor:
    """Opens pages of the service, each in a browser context of its own."""

    base: str
    browser: Browser
    watch: Watch

    def __call__(
        self,
        path: str = "/",
        *,
        width: int = 360,
        height: int = 740,
        script: bool = True,
        dark: bool = False,
        before: Callable[[Page], object] | None = None,
    ) -> Page:
        context = self.browser.new_context(
            base_url=self.base,
            viewport={"width": width, "height": height},
            java_script_enabled=script,
            color_scheme="dark" if dark else "light",
        )
        context.set_default_timeout(8000)
        context.add_init_script(SHIFTS)
        page = context.new_page()
        self.watch.follow(page)
        if before is not None:
            before(page)
        page.goto(path)
        return page
