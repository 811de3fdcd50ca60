//! The routine and the title as text.

use super::super::{RoutineLine, Statement, TitleLine};
use std::fmt::Write;

pub(super) fn write(page: &mut String, statement: &Statement) -> std::fmt::Result {
    title(page, statement)?;
    let lines = statement.routine.iter().flatten();
    for (at, line) in lines.enumerate() {
        if at == 0 {
            writeln!(page, "\nRoutine, as far as records tell")?;
        }
        routine(page, line)?;
    }
    Ok(())
}

/// What is another's or lent; where all is a place's own, its closing says so.
fn title(page: &mut String, statement: &Statement) -> std::fmt::Result {
    let is_other = |line: &&TitleLine| line.own != line.in_hand || line.on_loan_out != 0;
    for (at, line) in statement.title.iter().flatten().filter(is_other).enumerate() {
        if at == 0 {
            writeln!(page, "\nWhose the animals are; all others in hand are the places' own")?;
        }
        let TitleLine { place_id, scientific_name, commodity, in_hand, own, of_owner, on_loan_in, .. } = line;
        writeln!(page, "  {place_id}, {scientific_name} ({commodity}): {in_hand} in hand")?;
        writeln!(page, "    {own} own, {of_owner} of an owner, {on_loan_in} on loan from another centre")?;
        if line.on_loan_out != 0 {
            writeln!(page, "    {} on loan to others, {} overdue", line.on_loan_out, line.loan_overdue)?;
        }
    }
    Ok(())
}

fn routine(page: &mut String, line: &RoutineLine) -> std::fmt::Result {
    let RoutineLine { centre_id, routine, due, without_record, kept, share, left_out } = line;
    writeln!(page, "  {centre_id}, {}", routine.words())?;
    if *due > 0 {
        write!(page, "    kept {kept} of {} {}", due - without_record, routine.counted())?;
        if let Some(share) = share {
            let [rate, low, high] = [share.rate, share.low, share.high].map(|share| share * 100.0);
            write!(page, ", {rate:.2} % (exact 95 % interval {low:.2} to {high:.2} %)")?;
        }
        writeln!(page, "; {due} due, {without_record} without a record")?;
    }
    for (why, units) in left_out {
        writeln!(page, "    not asked of {units} units: {why}")?;
    }
    Ok(())
}
