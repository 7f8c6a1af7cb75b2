// Moments in the reader's own zone. The page has them in UTC and says so where it shows a time of day; that stays in
// the title. Without this script they are read in UTC.
"use strict";

(() => {
  const DAY = {day: "numeric", month: "short", year: "numeric"};
  const MOMENT = {...DAY, hour: "2-digit", minute: "2-digit", timeZoneName: "short"};
  const say = (moment, how) => new Intl.DateTimeFormat(document.documentElement.lang, how).format(moment);

  function localise() {
    for (const time of document.querySelectorAll('time[datetime*="T"]:not([title])')) {
      const moment = new Date(time.dateTime);
      if (Number.isNaN(moment.valueOf())) continue;
      const how = time.textContent.endsWith(" UTC") ? MOMENT : DAY;
      time.title = say(moment, {...MOMENT, timeZone: "UTC"});
      const here = say(moment, how);
      if (here !== say(moment, {...how, timeZone: "UTC"})) time.textContent = here;
    }
  }

  localise();
  document.addEventListener("htmx:afterSettle", localise);
})();
