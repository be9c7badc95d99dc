//! The work order: stage by stage, one line an act.

use design::{Deciding, building_after};

use crate::block::{Block, Table, blank, cell, figures, share, tick, ticks, wide};
use crate::part::Part;
use crate::sheet::Lie;
use crate::{PapersInput, cautions, text};

/// What is at hand in more letters than this is a part with its count, no tool.
const LONG: usize = 18;

/// The paper.
pub(crate) fn order(input: &PapersInput<'_>) -> Part {
    let mut blocks = Vec::new();
    let deciding =
        input.measuring.map(|answer| Deciding { values: answer.decides.len(), minutes: answer.minutes() });
    let building = building_after(input.design, deciding);
    let stages = &building.stages;
    let count = stages.len();
    let mut number = 0;
    let total: u32 = stages.iter().map(design::Stage::minutes).sum();
    let mut left = total;
    for (index, stage) in stages.iter().enumerate() {
        left -= stage.minutes();
        if index == 0 {
            blocks.push(Block::Title(text::ORDER));
            blocks.push(Block::Words(text::minutes_in_all(total)));
            blocks.push(Block::Words(text::shared(&building)));
            blocks.push(Block::Faint(text::MINUTES_NOTE.to_owned()));
            if !building.unreached.is_empty() {
                let lines = building.unreached.iter().map(text::unreached).collect();
                blocks.push(Block::Boxed(text::UNREACHED.to_owned(), lines, 11.0));
            }
        }
        let head = text::stage(index + 1, count, &stage.title);
        blocks.push(Block::Head(head, text::minutes(stage.minutes(), left)));
        let hand: Vec<String> = stage.at_hand().iter().map(design::AtHand::words).collect();
        if !hand.is_empty() {
            let line = hand.join(" · ");
            // Tools have one line; parts with their counts one each.
            let is_long = 90 < line.chars().count() && hand.iter().any(|words| LONG < words.chars().count());
            let lines = if is_long { hand } else { vec![line] };
            blocks.push(Block::Boxed(text::AT_HAND.to_owned(), lines, 11.0));
        }
        match stage.id.as_str() {
            "mains" => blocks.extend(cautions::mains(input.design)),
            "leads" => blocks.extend(cautions::solder(input.design)),
            "supplies" => blocks.extend(cautions::hot(input.design)),
            "last" => blocks.extend(cautions::heavy(input.design)),
            _ => {}
        }
        let mut table = Table::new(
            if index == 0 { "work-order" } else { "" },
            11.0,
            vec![
                figures(text::ORDER_NUMBER, "", 16.0),
                ticks(text::TICK_DONE),
                share(text::ACT, 1.0),
                figures(text::PLANNED, "min", 15.0),
                wide(text::USED_INITIALS, 19.0),
            ],
        )
        .grid();
        if let Some(halt) = input.halt().filter(|_| index == 0) {
            let words = format!("{halt}. {}", text::CLOSE_STOPS);
            table.row([cell("").faint(), tick(), cell(text::hold(&words)).bold(), cell(""), blank()]);
        }
        for step in &stage.steps {
            number += 1;
            let act = cell(step.text.clone());
            let act = if step.hold { cell(text::hold(&step.text)).bold() } else { act };
            let person = building.hands.get(number - 1).map_or(0, |hand| hand.person.min(1));
            table.row([
                cell(format!("{number} {}", text::PERSON[person])).faint(),
                tick(),
                act,
                cell(step.minutes.to_string()),
                blank(),
            ]);
        }
        table.file = "";
        blocks.push(Block::Table(table));
    }
    let mut part = Part::blocks(input, "order", text::ORDER, "-WRK", Lie::Portrait, blocks);
    part.files.push(values(stages));
    part
}

/// The whole order as one table of values.
fn values(stages: &[design::Stage]) -> Table {
    let mut table = Table::new(
        "work-order",
        9.0,
        vec![
            wide(text::STEP_ID, 30.0),
            share(text::ACT, 1.0),
            figures(text::PLANNED, "min", 18.0),
            wide(text::HOLD, 16.0),
            wide(text::LEAD, 30.0),
            wide(text::AT_HAND, 30.0),
        ],
    );
    for stage in stages {
        table.group(stage.title.clone(), "");
        for step in &stage.steps {
            table.row([
                cell(step.id.clone()),
                cell(step.text.clone()),
                cell(step.minutes.to_string()),
                cell(if step.hold { text::YES } else { "" }),
                cell(step.leads.join(" ")),
                cell(step.at_hand.iter().map(design::AtHand::words).collect::<Vec<_>>().join("; ")),
            ]);
        }
    }
    table
}
