//! Asks, one by one, for the facts that can still change the answer. Each can be skipped.

use std::io::{BufRead, Write};

use super::letter::Read;
use super::values;
use crate::answer::{Ask, Fact};
use crate::model::{Kind, Question};
use crate::report::words;

/// Completes the question. Prompts go to standard error, so that the result stays clean.
pub(super) fn ask(read: &Read, question: Question) -> anyhow::Result<Question> {
    let stdin = std::io::stdin();
    let mut dialogue = Dialogue {
        input: stdin.lock(),
        output: std::io::stderr(),
    };
    dialogue.complete(question, |q| {
        crate::answer::ask(&read.letter, q, &read.patterns)
    })
}

/// What was typed.
enum Typed {
    Words(String),
    Skip,
    /// The input has ended: nothing more is asked.
    End,
}

struct Dialogue<I, O> {
    input: I,
    output: O,
}

impl<I: BufRead, O: Write> Dialogue<I, O> {
    fn complete(
        &mut self,
        mut question: Question,
        worth_asking: impl Fn(&Question) -> Vec<Ask>,
    ) -> anyhow::Result<Question> {
        writeln!(self.output, "Enter alone skips a question.")?;
        if question.holder.is_none() {
            let names: Vec<String> = Kind::HOLDERS.iter().map(|k| k.name().to_owned()).collect();
            let typed = self.until_accepted(
                "Which of these are you, or is the person who would sign?",
                &names,
                |words| match values::holder(words) {
                    Ok(kind) => {
                        question.holder = Some(kind);
                        true
                    }
                    Err(_) => false,
                },
            )?;
            if matches!(typed, Typed::End) {
                return Ok(question);
            }
        }
        let mut asked: Vec<Fact> = Vec::new();
        while let Some(next) = worth_asking(&question)
            .into_iter()
            .find(|ask| !asked.contains(&ask.fact))
        {
            asked.push(next.fact);
            let words = words::fact_question(next.fact.name()).unwrap_or(&next.words);
            let typed = self.until_accepted(words, &next.options, |words| {
                crate::answer::set(&mut question, next.fact, words)
            })?;
            if matches!(typed, Typed::End) {
                break;
            }
        }
        writeln!(self.output)?;
        Ok(question)
    }

    /// Asks until the answer is accepted or skipped.
    fn until_accepted(
        &mut self,
        question: &str,
        options: &[String],
        mut accept: impl FnMut(&str) -> bool,
    ) -> anyhow::Result<Typed> {
        let options = textwrap::fill(
            &options.join(", "),
            textwrap::Options::new(78)
                .initial_indent("  ")
                .subsequent_indent("  ")
                .word_splitter(textwrap::WordSplitter::NoHyphenation),
        );
        writeln!(self.output, "\n{question}\n{options}")?;
        loop {
            match self.line()? {
                Typed::Words(words) if accept(&words) => return Ok(Typed::Words(words)),
                Typed::Words(_) => writeln!(self.output, "One of these, please:\n{options}")?,
                other => return Ok(other),
            }
        }
    }

    fn line(&mut self) -> anyhow::Result<Typed> {
        write!(self.output, "> ")?;
        self.output.flush()?;
        let mut line = String::new();
        Ok(match self.input.read_line(&mut line)? {
            0 => Typed::End,
            _ if line.trim().is_empty() => Typed::Skip,
            _ => Typed::Words(line.trim().to_owned()),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{CategoryClass, Ownership};
    use jiff::civil::date;

    fn dialogue(typed: &str, question: Question) -> (Question, String) {
        let mut dialogue = Dialogue {
            input: typed.as_bytes(),
            output: Vec::new(),
        };
        let ask = |fact: Fact, options: &[&str]| Ask {
            fact,
            words: String::new(),
            options: options.iter().map(|o| (*o).to_owned()).collect(),
        };
        let question = dialogue
            .complete(question, |q| {
                let mut asks = Vec::new();
                if q.owner.is_none() {
                    asks.push(ask(Fact::Owner, &["self", "not-owner"]));
                }
                if q.owner != Some(Ownership::NotOwner) && q.trained.is_none() {
                    asks.push(ask(Fact::Trained, &["airplane"]));
                }
                asks
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
        assert!(output.contains("One of these"), "{output}");
        assert!(!output.contains("training"), "{output}");

        let (said, output) = dialogue("\nairplane\n", question.clone());
        assert_eq!(said.owner, None);
        assert_eq!(said.trained, CategoryClass::parse("airplane"));
        assert_eq!(output.matches("Do you own").count(), 1, "{output}");

        let (said, _) = dialogue("", question.clone());
        assert_eq!(said, question);
    }
}
