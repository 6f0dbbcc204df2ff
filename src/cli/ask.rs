//! Asks, one by one, for the facts that can still change the answer. Each can be skipped.

use std::io::{BufRead, Write};

use super::letter::Read;
use super::values;
use crate::model::{Answer, CategoryClass, Kind, Ownership, Question};
use crate::report::words;

/// The facts in the order in which they are asked for: what rules out most comes first.
const ORDER: [&str; 9] = [
    "basis",
    "aircraft",
    "owner",
    "trained",
    "ratings",
    "certificate-for",
    "holds-ia",
    "earlier-certificate",
    "issued",
];

/// Completes the question. Prompts go to standard error, so that the result stays clean.
pub(super) fn ask(read: &Read, question: Question) -> anyhow::Result<Question> {
    let stdin = std::io::stdin();
    let mut dialogue = Dialogue {
        input: stdin.lock(),
        output: std::io::stderr(),
        over: false,
    };
    dialogue.complete(question, |q| crate::answer(&read.letter, q, &read.patterns))
}

struct Dialogue<I, O> {
    input: I,
    output: O,
    /// The input has ended: nothing more is asked.
    over: bool,
}

impl<I: BufRead, O: Write> Dialogue<I, O> {
    fn complete(
        &mut self,
        mut question: Question,
        answers: impl Fn(&Question) -> Vec<Answer>,
    ) -> anyhow::Result<Question> {
        writeln!(self.output, "Enter alone skips a question.")?;
        if question.holder.is_none() {
            let names: Vec<&str> = Kind::HOLDERS.iter().map(|k| k.name()).collect();
            question.holder = self.one(
                "Which of these are you (or the person who would sign)?",
                &names,
                values::holder,
            )?;
        }
        let mut asked: Vec<&str> = Vec::new();
        loop {
            let open: Vec<String> = answers(&question)
                .into_iter()
                .flat_map(|a| a.settled_by)
                .collect();
            let Some(fact) = ORDER
                .iter()
                .find(|f| !asked.contains(*f) && open.iter().any(|o| o == *f))
            else {
                break;
            };
            asked.push(fact);
            self.fact(fact, &mut question)?;
            if self.over {
                break;
            }
        }
        writeln!(self.output)?;
        Ok(question)
    }

    fn fact(&mut self, fact: &str, question: &mut Question) -> anyhow::Result<()> {
        let Some(words) = words::fact_question(fact) else {
            return Ok(());
        };
        let yes_no = ["yes", "no"];
        match fact {
            "basis" => {
                let shown = ["a to l, as in 21.191(g)"];
                question.basis = self.one(words, &shown, values::basis)?;
            }
            "aircraft" => {
                question.aircraft =
                    self.one(words, &CategoryClass::CATEGORIES, values::category)?;
            }
            "trained" => {
                question.trained = self.one(words, &CategoryClass::CATEGORIES, values::category)?;
            }
            "owner" => {
                let names: Vec<&str> = Ownership::ALL.iter().map(|o| o.name()).collect();
                question.owner = self.one(words, &names, values::owner)?;
            }
            "ratings" => {
                let shown = ["airframe", "powerplant", "airframe,powerplant"];
                question.ratings = self.one(words, &shown, values::ratings)?;
            }
            "certificate-for" => {
                question.certificate_for =
                    self.one(words, &["this", "other", "none"], values::certificate_for)?;
            }
            "holds-ia" => {
                question.inspection_authorization = self.one(words, &yes_no, values::yes_no)?;
            }
            "earlier-certificate" => {
                question.earlier_certificate = self.one(words, &yes_no, values::yes_no)?;
            }
            "issued" => question.issued = self.one(words, &["2008-05-14"], values::date)?,
            _ => {}
        }
        Ok(())
    }

    /// Asks until the answer is one that is accepted, or is skipped.
    fn one<T>(
        &mut self,
        words: &str,
        shown: &[&str],
        read: impl Fn(&str) -> Result<T, String>,
    ) -> anyhow::Result<Option<T>> {
        loop {
            writeln!(self.output, "\n{words}\n  ({})", shown.join(", "))?;
            write!(self.output, "> ")?;
            self.output.flush()?;
            let mut line = String::new();
            if self.over || self.input.read_line(&mut line)? == 0 {
                self.over = true;
                return Ok(None);
            }
            let line = line.trim();
            if line.is_empty() {
                return Ok(None);
            }
            match read(line) {
                Ok(value) => return Ok(Some(value)),
                Err(accepted) => writeln!(self.output, "{accepted}")?,
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    fn dialogue(typed: &str, question: Question) -> (Question, String) {
        let mut dialogue = Dialogue {
            input: typed.as_bytes(),
            output: Vec::new(),
            over: false,
        };
        let question = dialogue
            .complete(question, |q| {
                let mut answer = crate::report::fixtures::bare(Kind::LightSportRepairmanInspection);
                if q.owner.is_none() {
                    answer.settled_by.push("owner".into());
                }
                if q.owner != Some(Ownership::NotOwner) && q.trained.is_none() {
                    answer.settled_by.push("trained".into());
                }
                vec![answer]
            })
            .unwrap();
        (question, String::from_utf8(dialogue.output).unwrap())
    }

    #[test]
    fn only_what_can_change_the_answer_is_asked() {
        let mut question = Question::on(date(2026, 11, 25));
        question.holder = Some(Kind::LightSportRepairmanInspection);
        let (said, output) = dialogue("nobody\nnot-owner\n", question.clone());
        assert_eq!(said.owner, Some(Ownership::NotOwner));
        assert!(output.contains("accepted: self, co-owner"), "{output}");
        assert!(!output.contains("training"), "{output}");

        let (said, output) = dialogue("\nairplane\n", question.clone());
        assert_eq!(said.owner, None);
        assert_eq!(said.trained, CategoryClass::parse("airplane"));
        assert_eq!(output.matches("Do you own").count(), 1, "{output}");

        let (said, _) = dialogue("", question.clone());
        assert_eq!(said, question);
    }
}
