//! The statement for reading: plain text, 100 columns.

mod in_hand;

use super::{AccountRow, LicenceScope, Necropsies, PermitLine, Statement};
use std::collections::BTreeMap;
use std::fmt::Write;

/// The statement as text for a terminal or a letter.
pub fn text(statement: &Statement) -> String {
    let mut page = String::new();
    // Writing into a String cannot fail.
    let _ = write(&mut page, statement);
    page
}

fn write(page: &mut String, statement: &Statement) -> std::fmt::Result {
    let question = &statement.question;
    writeln!(page, "Statement {}, as known at {}", question.period, statement.basis.as_known_at)?;
    if statement.basis.demonstration {
        writeln!(page, "DEMONSTRATION: the calendar of this database is set by hand.")?;
    }
    for remark in &statement.remarks {
        writeln!(page, "{}", remark.words())?;
    }
    if let Some(centre) = &question.centre_id {
        writeln!(page, "Only {centre}")?;
    }
    if let Some(name) = &question.scientific_name {
        writeln!(page, "Only {name}")?;
    }
    let mut place = "";
    for row in &statement.account.rows {
        let here = super::place(row);
        if here != place {
            place = here;
            writeln!(page, "\n{}{}", here, if row.point_id.is_some() { " (holding point)" } else { "" })?;
            writeln!(
                page,
                "  {:<34} {:>7}  {:<34} {:>7}  {:>6}",
                "", "opening", "in / out", "closing", "census"
            )?;
        }
        account_row(page, row)?;
    }
    let (animals, eggs) = totals(&statement.account.rows);
    writeln!(page, "\nRegion, in centres and points: {animals} animals, {eggs} eggs")?;
    let under_way: i64 = statement.account.transit.iter().map(|row| row.closing).sum();
    writeln!(page, "On the road at the close: {under_way}")?;
    for row in statement.account.transit.iter().filter(|row| row.closing != 0) {
        writeln!(
            page,
            "  {} {} {}: {:+}",
            row.consignment_id, row.scientific_name, row.commodity, row.closing
        )?;
    }
    let deaths = &statement.account.deaths;
    writeln!(
        page,
        "Deaths: {} before rescue, {} in transit, {} within 48 h, {} in care",
        deaths.before_rescue, deaths.in_transit, deaths.within48h, deaths.in_care
    )?;
    if deaths.destroyed_by_order != 0 {
        writeln!(page, "Put to death by order, in none of these: {}", deaths.destroyed_by_order)?;
    }
    beside(page, statement)?;
    for (title, lines) in [("Relocations", &statement.relocations), ("Nests left in place", &statement.nests)]
    {
        for line in lines {
            writeln!(
                page,
                "{title}: {} {}, {}",
                line.individual_count, line.scientific_name, line.centre_id
            )?;
        }
    }
    in_hand::write(page, statement)?;
    nights(page, statement)?;
    writeln!(
        page,
        "\nFindings, judged through {}: {}",
        statement.evaluated_through,
        statement.findings.len()
    )?;
    let mut by_code: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    for finding in &statement.findings {
        let member = |name| finding.get(name).and_then(serde_json::Value::as_str).unwrap_or_default();
        *by_code.entry((member("severity"), member("code"))).or_default() += 1;
    }
    for ((severity, code), count) in by_code {
        writeln!(page, "  {severity:<9} {code:<32} {count:>5}")?;
    }
    words(page, statement)?;
    writeln!(
        page,
        "\naccountDigest  {}\nfindingsDigest {}",
        statement.account_digest, statement.findings_digest
    )
}

/// What the offices said by then: findings that were accepted, and who signed.
fn words(page: &mut String, statement: &Statement) -> std::fmt::Result {
    for word in &statement.acceptances {
        writeln!(page, "  accepted: {} by {}: {}", word.code, office(&word.by), word.reason)?;
        for name in &word.records {
            writeln!(page, "            {} {}", name.author_id, name.record_id)?;
        }
    }
    for signed in &statement.sign_offs {
        let office = office(&signed.by);
        let same = match (signed.same_figures, signed.same_findings) {
            (true, true) => "these figures and findings",
            (true, false) => "these figures, other findings",
            (false, _) => "other figures",
        };
        writeln!(
            page,
            "Signed off by {office} on {}: {same}, as known at {}",
            signed.signed_at, signed.as_known_at
        )?;
    }
    Ok(())
}

fn office(by: &super::Office) -> &str {
    by.party_id.as_deref().unwrap_or(&by.role)
}

/// What the figures come to: rates, necropsies, permits, what no licence covers, and the proof.
fn beside(page: &mut String, statement: &Statement) -> std::fmt::Result {
    let mortality = &statement.mortality;
    for (what, share) in [
        ("within 48 h, of those that came", &mortality.within48h),
        ("in care in all, of those in care", &mortality.together),
    ] {
        if let Some(share) = share {
            writeln!(
                page,
                "  {what}: {} of {}, {:.2} % (exact 95 % interval {:.2} to {:.2} %)",
                share.count,
                share.of,
                share.rate * 100.0,
                share.low * 100.0,
                share.high * 100.0
            )?;
        }
    }
    if let Some(necropsies) = &statement.necropsies {
        let Necropsies { deaths, done, not_possible, open, .. } = necropsies;
        writeln!(page, "Necropsies: {done} done of {deaths}, {not_possible} not possible, {open} open")?;
        for reason in &necropsies.reasons {
            writeln!(page, "  not possible for {}: {}", reason.individual_count, reason.because)?;
        }
    }
    for permit in &statement.permits {
        let PermitLine { permit_number, used, used_in_all, quantity, left, .. } = permit;
        writeln!(
            page,
            "Permit {permit_number}: {used} used in the period, {used_in_all} of {quantity} in all, {left} left"
        )?;
    }
    for line in statement.species.iter().filter(|line| line.licence != LicenceScope::Within) {
        let word =
            if line.licence == LicenceScope::Outside { "outside the licence" } else { "no licence known" };
        writeln!(page, "{}, {}: {word}", line.centre_id, line.scientific_name)?;
    }
    if let Some(trial) = &statement.trial_balance {
        match trial.out_of_balance.len() {
            0 => writeln!(
                page,
                "Trial balance over all accounts: zero for each of {} commodities",
                trial.commodities
            )?,
            _ => writeln!(page, "TRIAL BALANCE IS NOT ZERO: {:?}", trial.out_of_balance)?,
        }
    }
    Ok(())
}

fn account_row(page: &mut String, row: &AccountRow) -> std::fmt::Result {
    let mut movements: Vec<String> = Vec::new();
    movements.extend(row.gains.iter().map(|(counter, count)| format!("{counter} +{count}")));
    movements.extend(row.losses.iter().map(|(counter, count)| format!("{counter} -{count}")));
    let name = if row.commodity == "eggs" {
        format!("{} (eggs)", row.scientific_name)
    } else {
        row.scientific_name.clone()
    };
    let census =
        row.census.as_ref().map_or_else(|| "-".to_owned(), |census| census.individual_count.to_string());
    let mut lines = wrapped(&movements, 34).into_iter();
    let first = lines.next().unwrap_or_default();
    writeln!(page, "  {name:<34} {:>7}  {first:<34} {:>7}  {census:>6}", row.opening, row.closing)?;
    lines.try_for_each(|line| writeln!(page, "  {:<34} {:>7}  {line:<34}", "", ""))
}

fn wrapped(words: &[String], width: usize) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words {
        match lines.last_mut() {
            Some(line) if line.len() + 2 + word.len() <= width => {
                line.push_str(", ");
                line.push_str(word);
            }
            _ => lines.push(word.clone()),
        }
    }
    lines
}

fn totals(rows: &[AccountRow]) -> (i64, i64) {
    let of = |commodity| rows.iter().filter(|row| row.commodity == commodity).map(|row| row.closing).sum();
    (of("animals"), of("eggs"))
}

fn nights(page: &mut String, statement: &Statement) -> std::fmt::Result {
    let parties = &statement.completeness.parties;
    if parties.is_empty() {
        return Ok(());
    }
    writeln!(page, "\nNights posted")?;
    for party in parties {
        let missing = match party.missing.as_slice() {
            [] => String::new(),
            [only] => format!(", missing {only}"),
            [first, .., last] => format!(", {} missing between {first} and {last}", party.missing.len()),
        };
        writeln!(page, "  {:<34} {} of {}{missing}", party.place_id, party.posted, party.nights)?;
    }
    match statement.completeness.notices.len() {
        0 => Ok(()),
        late => writeln!(page, "  posted late: {late}"),
    }
}
