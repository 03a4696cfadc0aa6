//! The page of the rules, generated so that it cannot fall behind.
use super::phrase::number;
use super::rule::{Caution, Class, Limit, Question, Rule, Source};
use super::rules::Rules;

const HEAD: &str = "\
# The rules

This page is generated from `lexicon/rules.toml`; a test compares the two. To write it anew:
`UPDATE_DOCS=1 cargo test --test it page_of_rules`

A rule is drawn from facts of the record (`lexicon/catalogue.csv`). An unknown fact is not an absent one: a rule that
hangs on it says nothing, and may ask for it. What rests on a doubtful or disputed fact is provisional. Sources marked
*from memory* were not looked up, and *checked* ones were at times seen in an older or a state edition: confirm each in
the code that the local authority has adopted. Local codes and licensed trades prevail.

## An office's own rules

Write a file of the same form and name it with `--rules FILE` (`hearsheet judge`, `hearsheet visit new`). A rule with the id of one below
replaces it, others are added, and `drop = [\"id\"]` takes one away. A standard of the office's own stands on another
(`base`) and sets only what differs:

```toml
drop = [\"pressure-low\"]

[[standard]]
id = \"our-town\"
name = \"Our town, 2021 with amendments\"
base = \"irc-2021\"

[[limit]]
id = \"static-pressure-max\"
means = \"highest static water pressure\"
unit = \"psi\"
value = [{ standard = \"our-town\", value = 75, source = { code = \"Town code\", section = \"12.4\", status = \"checked\" } }]

[[rule]]
id = \"valve-plastic\"
class = \"upkeep\"
when = 'drain-valve.material == \"plastic\"'
says = \"The drain valve is plastic and may break when it is opened.\"
next = \"Have it replaced with a brass one.\"
trade = \"licensed plumber\"
source = [{ status = \"common-practice\" }]
yes = [\"drain-valve.material = plastic\"]
no = [\"drain-valve.material = brass\"]
unknown = [\"drain-valve.leak = none-seen\"]
```

A condition is CEL over `component.attribute`: `== != < <= > >= in && || ! has()`, arithmetic with spaces round a minus,
and `is_garage(place)`, `breaker_max(amperes)`, `wire_max(gauge)`. `any.corrosion` is the corrosion of any part that was
spoken of; `limit.id` is a figure of the standard in force; `today.year` is the year. A comparison holds when it holds
for any of the facts stated.
";

impl Rules {
    /// The page of these rules, as `docs/rules.md` shows it.
    pub fn page(&self) -> String {
        let mut page = HEAD.to_owned();
        page += "\n## Standards\n\n| id | name | stands on |\n| --- | --- | --- |\n";
        for standard in &self.standards {
            page += &format!("| {} | {} | {} |\n", standard.id, standard.name, standard.base.as_deref().unwrap_or("–"));
        }
        page += "\n## Limits\n\n| limit | means | standard | figure | source | status |\n| --- | --- | --- | --- | --- | --- |\n";
        self.limits.iter().for_each(|limit| page += &limit_rows(limit));
        page += &format!("\nParts that all heaters of a house share: {}.\n", self.house.join(", "));
        for class in [Class::Unsafe, Class::Defect, Class::Worn, Class::Watch, Class::Upkeep, Class::Limit] {
            page += &format!("\n## Class `{}`\n", class.name());
            self.rules.iter().filter(|rule| rule.class == class).for_each(|rule| page += &section(rule));
        }
        page += "\n## Questions\n\n| fact | asked as | look | not asked when |\n| --- | --- | --- | --- |\n";
        self.questions.iter().for_each(|question| page += &question_row(question));
        page += "\n## Cautions\n";
        self.cautions.iter().for_each(|caution| page += &caution_section(caution));
        page
    }
}

fn limit_rows(limit: &Limit) -> String {
    let row = |bound: &super::rule::Bound| {
        let figure = format!("{} {}", number(bound.value), limit.unit);
        let Source { status, .. } = &bound.source;
        let (id, means) = (&limit.id, &limit.means);
        format!("| `{id}` | {means} | {} | {figure} | {} | {} |\n", bound.standard, place(&bound.source), status.name())
    };
    limit.value.iter().map(row).collect()
}

fn section(rule: &Rule) -> String {
    let mut text = format!("\n### `{}`\n\n{}\n\n", rule.id, rule.says);
    text += &format!("- When: `{}`\n", rule.when);
    if let Some(unless) = &rule.unless {
        let then = rule.unless_class.map(|class| format!(" (then `{}`)", class.name())).unwrap_or_default();
        text += &format!("- Unless: `{unless}`{then}\n");
    }
    if !rule.standards.is_empty() {
        text += &format!("- Only under: {}\n", rule.standards.join(", "));
    }
    rule.ask.iter().for_each(|ask| text += &format!("- Asks for `{}` once `{}`\n", ask.key, ask.once));
    text += &format!("- Next: {} Trade: {}.\n", rule.next, rule.trade);
    if let Some(caution) = &rule.caution {
        text += &format!("- Caution: {caution}\n");
    }
    rule.source.iter().for_each(|source| text += &format!("- Source: {}\n", cited(source)));
    text += &examples("Holds for", &rule.yes);
    text += &examples("Does not hold for", &rule.no);
    text + &examples("Unknown for", &rule.unknown)
}

fn examples(head: &str, list: &[String]) -> String {
    format!("- {head}: {}\n", list.iter().map(|example| format!("`{example}`")).collect::<Vec<_>>().join(" · "))
}

fn question_row(question: &Question) -> String {
    let moot = question.moot.as_ref().map(|moot| format!("`{}`", moot.replace('|', "\\|"))).unwrap_or_default();
    format!("| `{}` | {} | {} | {moot} |\n", question.key, question.ask, question.look)
}

fn caution_section(caution: &Caution) -> String {
    format!("\n### {}\n\n{}\n\nSource: {}\n", caution.title, caution.text, cited(&caution.source))
}

/// Code, edition and section alone.
fn place(source: &Source) -> String {
    let words = [&source.code, &source.edition, &source.section];
    let place = words.into_iter().filter(|w| !w.is_empty()).map(String::as_str).collect::<Vec<_>>().join(" ");
    if place.is_empty() { "no published source".to_owned() } else { place }
}

fn cited(source: &Source) -> String {
    let mut text = format!("{} ({})", place(source), source.status.name());
    if let Some(note) = &source.note {
        text += &format!("; {note}");
    }
    if !source.standards.is_empty() {
        text += &format!("; under {}", source.standards.join(", "));
    }
    text
}
