// Reads a JSON list of calendars from standard input, by ical.js alone, and says what each holds.
const ICAL = require(process.argv[2]);
const instant = (t) => t.toUnixTime();
function read(text) {
  const calendar = new ICAL.Component(ICAL.parse(text));
  const entries = calendar.getAllSubcomponents("vevent");
  const entry = new ICAL.Event(entries[0]);
  const people = entries[0].getAllProperties("attendee");
  const organizer = entries[0].getFirstProperty("organizer");
  const value = (name) => entries[0].getFirstPropertyValue(name) ?? "";
  return {
    method: calendar.getFirstPropertyValue("method"),
    entries: entries.length,
    uid: entry.uid,
    sequence: entry.sequence,
    status: value("status"),
    start: instant(entry.startDate),
    end: instant(entry.endDate),
    zone: entry.startDate.zone.tzid,
    summary: entry.summary,
    description: entry.description ?? "",
    location: entry.location ?? "",
    organizer: organizer.getFirstValue(),
    organizer_name: organizer.getParameter("cn") ?? "",
    attendees: people.map((p) => p.getFirstValue()),
    attendee_name: people[0].getParameter("cn") ?? "",
    alarms: entries[0].getAllSubcomponents("valarm").length,
  };
}
const texts = JSON.parse(require("fs").readFileSync(0, "utf8"));
process.stdout.write(JSON.stringify(texts.map((text) => {
  try { return read(text); } catch (wrong) { return { error: String(wrong) }; }
})));
