//! Which address does what.

use std::convert::Infallible;
use std::sync::{Arc, MutexGuard, PoisonError};
use std::time::Duration;

use axum::Router;
use axum::body::Bytes;
use axum::extract::{DefaultBodyLimit, Multipart, Path, RawQuery, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::middleware;
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use futures_util::stream;

use super::facts::Facts;
use super::held::{Held, View};
use super::jobs::{Found, Job, Outcome, Status};
use super::keys::Keys;
use super::state::{AppState, blocking, jobs};
use super::upload::{self, Refusal};
use super::{guard, pages, worker};
use crate::patterns::Patterns;
use crate::report::sheet as sheet_paper;
use crate::report::year as year_paper;
use crate::report::{html, json, letters, markdown, memo, request};

type Here = State<Arc<AppState>>;

/// A letter of text is done within this, and then no page that waits is shown.
const MOMENT: Duration = Duration::from_millis(400);
/// Bytes of a small form.
const FORM: usize = 64 << 10;

pub(super) fn router(app: Arc<AppState>) -> Router {
    let letters = Router::new()
        .route("/", get(letter))
        .route("/events", get(events))
        .route("/words", post(words).layer(DefaultBodyLimit::max(FORM)))
        .route("/year", get(year))
        .route("/sheet", get(sheet))
        .route("/entry", post(entry).layer(DefaultBodyLimit::max(FORM)))
        .route("/claim", post(claim).layer(DefaultBodyLimit::max(FORM)))
        .route("/forget", post(forget).layer(DefaultBodyLimit::max(FORM)))
        .route("/pages/{source}/{page}", get(picture))
        .route("/{file}", get(file));
    // The secret is a literal of every route: no wildcard could be taken for it.
    let base = format!("/{}", app.token);
    let at = |rest: &str| format!("{base}{rest}");
    Router::new()
        .route("/open/{key}", get(open))
        .route(&base, get(start))
        .route(&at("/"), get(start))
        .route(&at("/page.css"), get(style))
        .route(&at("/page.js"), get(script))
        .route(&at("/letters"), post(hand_over))
        .route(&at("/key"), post(key).layer(DefaultBodyLimit::max(FORM)))
        .route(&at("/stop"), post(stop).layer(DefaultBodyLimit::max(FORM)))
        .nest(&at("/letters/{id}"), letters)
        .fallback(nowhere)
        .layer(DefaultBodyLimit::max(upload::BODY))
        .layer(middleware::from_fn_with_state(
            Arc::clone(&app),
            guard::keep,
        ))
        .with_state(app)
}

/// The address that the browser is opened with: good for one use.
async fn open(State(app): Here, Path(key): Path<String>) -> Response {
    let to = keys(&app).take(&key);
    if let Some(to) = to {
        return Redirect::to(&format!("/{}/{to}", app.token)).into_response();
    }
    let said = "This address was good for one use. Copy the address from the terminal where whomay \
                serve runs.";
    let page = pages::plain(None, "Not here", said);
    (StatusCode::NOT_FOUND, pages::html(page)).into_response()
}

fn keys(app: &AppState) -> MutexGuard<'_, Keys> {
    app.keys.lock().unwrap_or_else(PoisonError::into_inner)
}

/// A fresh key, for a start that opens a browser: at the first page, or at a letter.
async fn key(State(app): Here, body: Bytes) -> Response {
    let to = str::from_utf8(&body).unwrap_or_default();
    let letter = to.strip_prefix("letters/").map(str::parse::<u64>);
    if !to.is_empty() && !matches!(letter, Some(Ok(_))) {
        return StatusCode::BAD_REQUEST.into_response();
    }
    let key = keys(&app).make(to);
    match key {
        Some(key) => of_kind("text/plain; charset=utf-8", key),
        None => StatusCode::SERVICE_UNAVAILABLE.into_response(),
    }
}

async fn start(State(app): Here) -> Response {
    pages::html(pages::start::start(&app.token))
}

/// Ends the program, for those who have no terminal to end it in.
async fn stop(State(app): Here) -> Response {
    app.stop.notify_one();
    let said = "The program has ended, and with it every letter that it held. You can close this \
                page.";
    pages::html(pages::plain(None, "Stopped", said))
}

async fn style() -> Response {
    of_kind("text/css; charset=utf-8", pages::style())
}

async fn script() -> Response {
    of_kind("text/javascript; charset=utf-8", pages::SCRIPT)
}

fn of_kind(kind: &'static str, body: impl IntoResponse) -> Response {
    let kind = HeaderValue::from_static(kind);
    ([(header::CONTENT_TYPE, kind)], body).into_response()
}

async fn nowhere(State(app): Here) -> Problem {
    nothing(&app)
}

/// What went wrong and what to do: a page of its own.
struct Problem {
    token: String,
    status: StatusCode,
    heading: &'static str,
    said: String,
}

impl IntoResponse for Problem {
    fn into_response(self) -> Response {
        let page = pages::plain(Some(&self.token), self.heading, &self.said);
        (self.status, pages::html(page)).into_response()
    }
}

type Answer = Result<Response, Problem>;

fn problem(
    app: &AppState,
    status: StatusCode,
    heading: &'static str,
    said: impl Into<String>,
) -> Problem {
    Problem {
        token: app.token.clone(),
        status,
        heading,
        said: said.into(),
    }
}

/// Takes an upload.
async fn hand_over(State(app): Here, headers: HeaderMap, form: Multipart) -> Answer {
    match taken(&app, &headers, form).await {
        Ok(job) => {
            let mut watch = job.watch();
            let over = watch.wait_for(Status::is_over);
            // Whether it is done or not, the page of the letter knows what to show.
            let _ = tokio::time::timeout(MOMENT, over).await;
            Ok(Redirect::to(&format!("/{}/letters/{}", app.token, job.id)).into_response())
        }
        Err((status, said)) => Err(problem(&app, status, "That did not work", said)),
    }
}

async fn taken(
    app: &Arc<AppState>,
    headers: &HeaderMap,
    form: Multipart,
) -> Result<Arc<Job>, Refusal> {
    let length = headers
        .get(header::CONTENT_LENGTH)
        .and_then(|v| v.to_str().ok()?.parse::<usize>().ok())
        .unwrap_or(upload::BODY);
    if length > upload::BODY {
        return Err(upload::too_large());
    }
    let busy = || {
        (
            StatusCode::SERVICE_UNAVAILABLE,
            "Too many letters are waiting. Try again when some are done.".to_owned(),
        )
    };
    // The bytes of an upload have their place in memory before the first of them is received.
    let kib = length.div_ceil(1024).max(1);
    let small = kib <= upload::SMALL;
    let room = if small { &app.small_room } else { &app.room };
    let kib = u32::try_from(kib).unwrap_or(u32::MAX);
    let room = Arc::clone(room)
        .acquire_many_owned(kib)
        .await
        .map_err(|_| busy())?;
    let patience = Duration::from_secs(upload::SECONDS);
    let upload = tokio::time::timeout(patience, upload::receive(form))
        .await
        .map_err(|_| {
            (
                StatusCode::REQUEST_TIMEOUT,
                "The upload took too long and was stopped. Drop the files again.".to_owned(),
            )
        })??;
    let job = jobs(app).add(upload.names()).ok_or_else(busy)?;
    tokio::spawn(worker::work(
        Arc::clone(app),
        Arc::clone(&job),
        upload,
        room,
    ));
    Ok(job)
}

/// The job of an address, or a page that says why there is none.
fn find(app: &AppState, id: &str) -> Result<Arc<Job>, Problem> {
    let found = id.parse().map_or(Found::Never, |id| jobs(app).find(id));
    match found {
        Found::Here(job) => Ok(job),
        Found::Gone => Err(problem(
            app,
            StatusCode::GONE,
            "This letter is no longer held",
            "It was forgotten, or others took its place in memory. Hand it over again.",
        )),
        Found::Never => Err(problem(
            app,
            StatusCode::NOT_FOUND,
            "There is no such letter",
            "Nothing was handed over under this number. Start again from the first page.",
        )),
    }
}

/// A letter that was read, or why there is none yet.
fn done(app: &AppState, id: &str) -> Result<Arc<Outcome>, Problem> {
    let job = find(app, id)?;
    match job.status() {
        Status::Done(outcome) => Ok(outcome),
        Status::Failed(why) => Err(failed(app, &why)),
        Status::Waiting | Status::Reading(..) => Err(problem(
            app,
            StatusCode::CONFLICT,
            "Not read yet",
            "The letter is still being read. Try again in a moment.",
        )),
    }
}

fn failed(app: &AppState, why: &str) -> Problem {
    problem(
        app,
        StatusCode::UNPROCESSABLE_ENTITY,
        "This could not be read",
        why,
    )
}

fn facts(app: &AppState, query: Option<&str>) -> Result<Facts, Problem> {
    Facts::of(query, (app.today)())
        .map_err(|why| problem(app, StatusCode::BAD_REQUEST, "That was not understood", why))
}

/// Makes a page off the threads that wait for the network, a few at a time.
async fn made(
    app: &Arc<AppState>,
    outcome: &Outcome,
    make: impl FnOnce(&AppState) -> Answer + Send + 'static,
) -> Answer {
    let lane = if outcome.is_large() {
        &app.making_large
    } else {
        &app.making
    };
    // never closed
    let turn = Arc::clone(lane).acquire_owned().await;
    let here = Arc::clone(app);
    let made = blocking(move || {
        let made = make(&here);
        // kept while the work goes on, whether anybody waits for it or not
        drop(turn);
        made
    });
    made.await.unwrap_or_else(|| {
        Err(problem(
            app,
            StatusCode::INTERNAL_SERVER_ERROR,
            "The page broke down",
            "The report of this letter could not be made. Try the letter as plain text.",
        ))
    })
}

/// The page of a letter, whatever its state.
async fn letter(State(app): Here, Path(id): Path<String>, RawQuery(query): RawQuery) -> Answer {
    let job = find(&app, &id)?;
    let outcome = match job.status() {
        Status::Done(outcome) => outcome,
        Status::Failed(why) => return Err(failed(&app, &why)),
        state => {
            let before = jobs(&app).before(job.id);
            let page = pages::wait::wait(&app.token, job.id, &job.names, &state, before);
            return Ok(pages::html(page));
        }
    };
    let facts = facts(&app, query.as_deref())?;
    made(&app, &Arc::clone(&outcome), move |app| match &*outcome {
        Outcome::Letter(held) => Ok(pages::html(pages::letter::letter(
            &app.token,
            job.id,
            held,
            &facts,
            &app.patterns,
        ))),
        Outcome::Many(survey) => Ok(pages::html(pages::many::many(&app.token, job.id, survey))),
        Outcome::Two(both) => Ok(pages::html(pages::two::two(
            &app.token,
            job.id,
            both,
            &facts,
            &app.patterns,
        ))),
    })
    .await
}

fn nothing(app: &AppState) -> Problem {
    problem(
        app,
        StatusCode::NOT_FOUND,
        "There is no such page",
        "Nothing is here. Start again from the first page.",
    )
}

/// How far the reading is, as it goes.
async fn events(State(app): Here, Path(id): Path<String>) -> Answer {
    let job = find(&app, &id)?;
    let number = job.id;
    let watch = job.watch();
    drop(job);
    let told = stream::unfold(Some((watch, true)), move |next| {
        let app = Arc::clone(&app);
        async move {
            let (mut watch, first) = next?;
            if !first && watch.changed().await.is_err() {
                return None;
            }
            let state = watch.borrow_and_update().clone();
            let before = jobs(&app).before(number);
            let said = pages::wait::said(&state, before);
            let (done, all) = match state {
                Status::Reading(done, all) => (done, all),
                _ => (0, 0),
            };
            let over = state.is_over();
            let name = if over { "over" } else { "far" };
            let event = Event::default()
                .event(name)
                .data(format!("{done} {all} {said}"));
            Some((
                Ok::<_, Infallible>(event),
                (!over).then_some((watch, false)),
            ))
        }
    });
    let alive = KeepAlive::new().interval(Duration::from_secs(10));
    Ok(Sse::new(told).keep_alive(alive).into_response())
}

/// Takes down what a person read in the scan.
async fn words(
    State(app): Here,
    Path(id): Path<String>,
    RawQuery(query): RawQuery,
    body: Bytes,
) -> Answer {
    let outcome = done(&app, &id)?;
    let facts = facts(&app, query.as_deref())?;
    let to = format!("/{}/letters/{id}{}", app.token, facts.query());
    made(&app, &Arc::clone(&outcome), move |app| {
        if let Outcome::Letter(held) = &*outcome {
            held.say(said(&body), &app.patterns);
        }
        Ok(Redirect::to(&to).into_response())
    })
    .await
}

/// Holds what somebody said against the letter. It stands in no address: it may be anybody's words.
async fn claim(
    State(app): Here,
    Path(id): Path<String>,
    RawQuery(query): RawQuery,
    body: Bytes,
) -> Answer {
    let job = find(&app, &id)?;
    let outcome = done(&app, &id)?;
    let facts = facts(&app, query.as_deref())?;
    let words = typed(&body, "claim");
    let most = pages::claim::MOST;
    if words.is_empty() || words.chars().count() > most {
        let said = format!(
            "Write what you were told about the letter, in at most {most} characters. Go back, and \
             try again."
        );
        let heading = "Nothing was held against the letter";
        return Err(problem(&app, StatusCode::BAD_REQUEST, heading, said));
    }
    made(&app, &Arc::clone(&outcome), move |app| match &*outcome {
        Outcome::Letter(held) => Ok(pages::html(pages::claim::claim(
            &app.token,
            job.id,
            held,
            &facts,
            &words,
            &app.patterns,
        ))),
        Outcome::Two(_) | Outcome::Many(_) => Err(nothing(app)),
    })
    .await
}

/// The one letter of an address; papers of different aircraft are told apart on the page of the
/// letter first.
fn of_one(held: &Held, facts: &Facts, app: &AppState) -> bool {
    let view = held.view_of(facts.letter, &app.patterns);
    view.letter.mixed.is_none() || facts.question.same_aircraft
}

/// A page about one letter, made of it and the facts of the address.
async fn about(
    app: Arc<AppState>,
    id: String,
    query: Option<String>,
    make: impl FnOnce(&str, u64, &Held, &Facts, &Patterns) -> String + Send + 'static,
) -> Answer {
    let job = find(&app, &id)?;
    let outcome = done(&app, &id)?;
    let facts = facts(&app, query.as_deref())?;
    made(&app, &Arc::clone(&outcome), move |app| match &*outcome {
        Outcome::Letter(held) if of_one(held, &facts, app) => Ok(pages::html(make(
            &app.token,
            job.id,
            held,
            &facts,
            &app.patterns,
        ))),
        Outcome::Letter(_) => Ok(to_letter(app, job.id, &facts)),
        Outcome::Two(_) | Outcome::Many(_) => Err(nothing(app)),
    })
    .await
}

fn to_letter(app: &AppState, id: u64, facts: &Facts) -> Response {
    let to = format!("/{}/letters/{id}{}", app.token, facts.query());
    Redirect::to(&to).into_response()
}

/// What runs out in the year of the aircraft.
async fn year(State(app): Here, Path(id): Path<String>, RawQuery(query): RawQuery) -> Answer {
    about(app, id, query, pages::year::year).await
}

/// One page for the inspector.
async fn sheet(State(app): Here, Path(id): Path<String>, RawQuery(query): RawQuery) -> Answer {
    about(app, id, query, pages::sheet::sheet).await
}

/// Holds a log entry against the letter. It stands in no address: names and numbers are in it.
async fn entry(
    State(app): Here,
    Path(id): Path<String>,
    RawQuery(query): RawQuery,
    body: Bytes,
) -> Answer {
    done(&app, &id)?;
    let words = typed(&body, "entry");
    let most = pages::entry::MOST;
    let refused = |said: String| {
        let heading = "No entry was checked";
        problem(&app, StatusCode::BAD_REQUEST, heading, said)
    };
    if words.is_empty() || words.chars().count() > most {
        return Err(refused(format!(
            "Type the log entry as it stands, in at most {most} characters. Go back, and try again."
        )));
    }
    // The same way as a file: what is no text is refused there.
    let file = ("entry.txt".to_owned(), words.clone().into_bytes());
    let read = crate::read::read_held(vec![file], &app.limits)
        .map_err(|why| refused(crate::report::words::sentence(&why.to_string())))?;
    let read = crate::read::correct(read, &app.patterns);
    about(app, id, query, move |token, id, held, facts, patterns| {
        pages::entry::entry(token, id, held, facts, (&words, &read), patterns)
    })
    .await
}

/// What was typed into the field of that name.
fn typed(body: &[u8], field: &str) -> String {
    form_urlencoded::parse(body)
        .find(|(name, _)| name == field)
        .map_or_else(String::new, |(_, words)| words.trim().to_owned())
}

/// The words of a form: `w7` holds `=mechanic`, `other` (then `o7` has the words) or nothing.
fn said(body: &[u8]) -> Vec<(usize, Option<String>)> {
    let pairs: Vec<(String, String)> = form_urlencoded::parse(body)
        .map(|(name, value)| (name.into_owned(), value.into_owned()))
        .collect();
    let typed = |index: usize| {
        pairs
            .iter()
            .find(|(name, _)| name.strip_prefix('o').and_then(|n| n.parse().ok()) == Some(index))
            .map(|(_, words)| words.trim().to_owned())
            .filter(|words| !words.is_empty())
    };
    pairs
        .iter()
        .filter_map(|(name, value)| {
            let index: usize = name.strip_prefix('w')?.parse().ok()?;
            let words = match value.as_str() {
                "other" => typed(index),
                value => value.strip_prefix('=').map(str::to_owned),
            };
            Some((index, words))
        })
        .collect()
}

async fn forget(State(app): Here, Path(id): Path<String>) -> Response {
    if let Ok(job) = find(&app, &id) {
        jobs(&app).forget(job.id);
    }
    Redirect::to(&format!("/{}/", app.token)).into_response()
}

/// The picture of a page.
async fn picture(State(app): Here, Path((id, source, number)): Path<(String, u16, u32)>) -> Answer {
    let outcome = done(&app, &id)?;
    let of = |held: &Held| {
        let mut all = held.base().pictures.iter();
        all.find(|p| (p.source, p.page) == (source, number))
            .map(|p| Bytes::from_owner(Arc::clone(&p.jpeg)))
    };
    let bytes = match &*outcome {
        Outcome::Letter(held) => of(held),
        Outcome::Two(_) | Outcome::Many(_) => None,
    };
    let bytes = bytes.ok_or_else(|| nothing(&app))?;
    Ok(of_kind("image/jpeg", bytes))
}

/// What can be taken along.
async fn file(
    State(app): Here,
    Path((id, name)): Path<(String, String)>,
    RawQuery(query): RawQuery,
) -> Answer {
    let outcome = done(&app, &id)?;
    let facts = facts(&app, query.as_deref())?;
    made(&app, &Arc::clone(&outcome), move |app| {
        let made = match &*outcome {
            Outcome::Letter(held) => letter_file(app, held, &facts, &name),
            Outcome::Two(both) => two_file(app, both, &facts, &name),
            Outcome::Many(survey) => match name.as_str() {
                "survey.html" => Some((
                    "text/html; charset=utf-8",
                    "attachment; filename=\"survey.html\"",
                    survey.page.clone().into(),
                )),
                "survey.csv" => Some((
                    "text/csv; charset=utf-8",
                    "attachment; filename=\"survey.csv\"",
                    survey.csv.clone().into(),
                )),
                _ => None,
            },
        };
        let (kind, file, content) = made.ok_or_else(|| nothing(app))?;
        let mut response = of_kind(kind, content);
        let file = HeaderValue::from_static(file);
        response
            .headers_mut()
            .insert(header::CONTENT_DISPOSITION, file);
        Ok(response)
    })
    .await
}

/// Kind, disposition and content of a file.
type Made = (&'static str, &'static str, Bytes);

/// A word processor's file.
const DOCX: &str = "application/vnd.openxmlformats-officedocument.wordprocessingml.document";

/// A file of one letter.
fn letter_file(app: &AppState, held: &Held, facts: &Facts, name: &str) -> Option<Made> {
    let view = held.view_of(facts.letter, &app.patterns);
    let answered = view.answer(facts.question.clone(), &app.patterns);
    let report = view.report(&answered, &app.patterns);
    Some(match name {
        "report.html" => (
            "text/html; charset=utf-8",
            "attachment; filename=\"report.html\"",
            html::letter(&report, &html::pictures(&view.text)).into(),
        ),
        "report.md" => (
            "text/markdown; charset=utf-8",
            "attachment; filename=\"report.md\"",
            markdown::long(&report).into(),
        ),
        "report.json" => (
            "application/json",
            "attachment; filename=\"report.json\"",
            json::report(&report).into(),
        ),
        "memo.docx" => (
            DOCX,
            "attachment; filename=\"memo.docx\"",
            memo::docx(&report).ok()?.into(),
        ),
        "request.md" | "request.html" | "request.docx" => {
            let draft = crate::answer::request(
                &view.letter,
                &view.text.content,
                &answered.question,
                &answered.answers,
                &app.patterns,
            );
            if name == "request.docx" {
                (
                    DOCX,
                    "attachment; filename=\"request.docx\"",
                    request::docx(&draft).ok()?.into(),
                )
            } else if name == "request.html" {
                (
                    "text/html; charset=utf-8",
                    "attachment; filename=\"request.html\"",
                    request::html(&draft).into(),
                )
            } else {
                (
                    "text/markdown; charset=utf-8",
                    "attachment; filename=\"request.md\"",
                    request::markdown(&draft).into(),
                )
            }
        }
        "inspection.ics" | "year.html" | "year.md" | "year.json" => {
            return year_file(app, &view, facts, name);
        }
        "sheet.html" => (
            "text/html; charset=utf-8",
            "attachment; filename=\"sheet.html\"",
            sheet_paper::paper(&report).html().into(),
        ),
        "sheet.md" => (
            "text/markdown; charset=utf-8",
            "attachment; filename=\"sheet.md\"",
            sheet_paper::paper(&report).markdown().into(),
        ),
        _ => return None,
    })
}

/// A file of the aircraft's year, where the day of the last inspection is known.
fn year_file(app: &AppState, view: &View, facts: &Facts, name: &str) -> Option<Made> {
    let inspected = facts.inspected?;
    let found = view.year(inspected, facts, &app.patterns);
    let (dues, interval) = view.due(inspected);
    let paper = || year_paper::paper(&found, &dues, &app.patterns);
    Some(match name {
        "year.html" => (
            "text/html; charset=utf-8",
            "attachment; filename=\"year.html\"",
            paper().html().into(),
        ),
        "year.md" => (
            "text/markdown; charset=utf-8",
            "attachment; filename=\"year.md\"",
            paper().markdown().into(),
        ),
        "year.json" => (
            "application/json",
            "attachment; filename=\"year.json\"",
            year_paper::json(&found, &dues, &app.patterns).into(),
        ),
        _ => {
            let further = year_paper::events(&found, &app.patterns);
            let none = further.is_empty() && dues.iter().all(|d| d.last_day.is_none());
            (!none).then_some(())?;
            // The clock is not read: the same day gives the same bytes.
            let stamp = inspected
                .to_zoned(jiff::tz::TimeZone::UTC)
                .ok()?
                .timestamp();
            let notes = crate::report::due::notes(&dues, &interval, &app.patterns);
            (
                "text/calendar; charset=utf-8",
                "attachment; filename=\"inspection.ics\"",
                crate::answer::calendar(&dues, &further, &notes, stamp).into(),
            )
        }
    })
}

/// The same of two letters.
fn two_file(app: &AppState, both: &(Held, Held), facts: &Facts, name: &str) -> Option<Made> {
    pages::two::with(both, facts, &app.patterns, |both| match name {
        "changes.html" => Some((
            "text/html; charset=utf-8",
            "attachment; filename=\"changes.html\"",
            html::letters(both, true).into(),
        )),
        "changes.md" => Some((
            "text/markdown; charset=utf-8",
            "attachment; filename=\"changes.md\"",
            letters::markdown(both).into(),
        )),
        "changes.json" => Some((
            "application/json",
            "attachment; filename=\"changes.json\"",
            letters::json(both).into(),
        )),
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_a_person_read_is_taken_from_the_form() {
        assert_eq!(
            said(b"w3=%3Dmechanic&o3=&w9=other&o9=+may+not+&w12=&o12=x&w4=other&o4=&x=1"),
            [
                (3, Some("mechanic".to_owned())),
                (9, Some("may not".to_owned())),
                (12, None),
                (4, None),
            ]
        );
    }
}
