//! The report as one page that needs nothing else: no script, no foreign address.

use std::io::{self, Write};

use haulout_schemas::published::VERSION;

use super::summary::{Group, Summary};
use super::text::{NOT_CHECKED, heading, position, problems_line, read_line, title, verdict};
use crate::counts::Counts;
use crate::problem::Severity;
use crate::words::{counted, grouped};

/// Colours keep 4.5:1 on their grounds in both schemes; nothing is told by colour alone.
const STYLE: &str = "
:root{color-scheme:light dark;--ground:#fcfcfa;--ink:#1d2421;--faint:#56605b;--line:#c9cfcb}
@media(prefers-color-scheme:dark){:root{--ground:#161a18;--ink:#e6eae7;--faint:#a3ada7;--line:#3c4540}}
body{margin:0 auto;max-width:60rem;padding:1.5rem 1rem 4rem;background:var(--ground);color:var(--ink);font:1rem/1.55 system-ui,sans-serif}
h1{font-size:1.5rem}h2{font-size:1.2rem;margin-top:2.5rem}h3{font-size:1rem;margin:2rem 0 .3rem}
code,td.where{font-family:ui-monospace,monospace;font-size:.92em;overflow-wrap:anywhere}
.scroll{overflow-x:auto}table{border-collapse:collapse;width:100%}
caption{text-align:left;color:var(--faint);padding-bottom:.3rem}
th,td{text-align:left;vertical-align:top;padding:.35rem .8rem .35rem 0;border-bottom:1px solid var(--line)}
td.number{text-align:right;font-variant-numeric:tabular-nums}
p.faint,p.more{color:var(--faint)}
@media print{body{max-width:none}}
";

pub(super) fn write(out: &mut dyn Write, summary: &Summary, counts: &Counts) -> io::Result<()> {
    write!(
        out,
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta name=\"viewport\" content=\"width=device-width,initial-scale=1\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none';style-src 'unsafe-inline'\">\n\
         <title>Check report</title>\n<style>{STYLE}</style>\n</head>\n<body>\n<main>\n<h1>Check report</h1>\n"
    )?;
    writeln!(out, "<p><strong>{}</strong></p>", escaped(&verdict(counts)))?;
    writeln!(out, "<p>{} {}</p>", escaped(&read_line(counts)), escaped(&problems_line(counts)))?;
    if !counts.by_kind.is_empty() {
        kinds(out, counts)?;
    }
    for severity in [Severity::Error, Severity::Warning, Severity::Info] {
        let groups = summary.groups(severity);
        if groups.is_empty() {
            continue;
        }
        writeln!(out, "<h2>{}</h2>", escaped(heading(severity)))?;
        for (code, place, group) in groups {
            group_section(out, severity, code, place, group)?;
        }
    }
    write!(
        out,
        "<p class=\"faint\">Schema {VERSION}. {}</p>\n</main>\n</body>\n</html>\n",
        escaped(NOT_CHECKED)
    )
}

fn kinds(out: &mut dyn Write, counts: &Counts) -> io::Result<()> {
    write!(
        out,
        "<div class=\"scroll\"><table><caption>Valid records by kind</caption>\n\
         <thead><tr><th scope=\"col\">Kind</th><th scope=\"col\">Records</th></tr></thead>\n<tbody>\n"
    )?;
    for (kind, count) in &counts.by_kind {
        writeln!(
            out,
            "<tr><th scope=\"row\"><code>{}</code></th><td class=\"number\">{}</td></tr>",
            escaped(kind),
            grouped(*count)
        )?;
    }
    out.write_all(b"</tbody></table></div>\n")
}

fn group_section(
    out: &mut dyn Write,
    severity: Severity,
    code: &str,
    place: &str,
    group: &Group,
) -> io::Result<()> {
    writeln!(out, "<section>\n<h3><code>{}</code></h3>", escaped(&title(code, place)))?;
    let caption = format!(
        "{severity}, {}, first {} shown",
        counted(group.count, "time", "times"),
        grouped(group.samples.len() as u64)
    );
    write!(
        out,
        "<div class=\"scroll\"><table><caption>{}</caption>\n\
         <thead><tr><th scope=\"col\">Where</th><th scope=\"col\">What</th><th scope=\"col\">Help</th></tr></thead>\n<tbody>\n",
        escaped(&caption)
    )?;
    for sample in &group.samples {
        writeln!(
            out,
            "<tr><td class=\"where\">{}</td><td>{}</td><td>{}</td></tr>",
            escaped(position(sample).trim_end_matches(": ")),
            escaped(&sample.message),
            escaped(sample.help.as_deref().unwrap_or_default())
        )?;
    }
    out.write_all(b"</tbody></table></div>\n")?;
    if group.more() > 0 {
        writeln!(out, "<p class=\"more\">and {} more</p>", grouped(group.more()))?;
    }
    out.write_all(b"</section>\n")
}

/// Text from files, harmless inside an element.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            other => out.push(other),
        }
    }
    out
}
