//! The meanings that rules can give: functions on the meanings of the parts. A function that
//! returns `None` says that the parts do not go together; the analysis is then none.

use super::person;
use super::value::{
    Features, Force, Head, Inspections, Item, Mode, Named, Persons, Quantifier, Says, Value, f,
    feature, flag, insp,
};
use crate::model::{Form, Kind};

/// An argument as a rule gives it.
#[derive(Clone, Copy)]
pub(crate) enum Given<'a> {
    /// A place that was left out.
    Nothing,
    /// A name.
    Name(&'a str),
    /// The meaning of a part.
    Value(&'a Value),
}

/// A meaning.
pub(crate) type Action = fn(&[Given<'_>]) -> Option<Value>;

/// How many actions, the first of [`named`], say nothing of who inspects.
const IDLE: usize = 5;

/// The action of that name, and whether it says nothing of who inspects.
pub(crate) fn named(name: &str) -> Option<(Action, bool)> {
    #[rustfmt::skip]
    let known: &[(&str, Action)] = &[
        ("nothing", nothing), ("manner", manner),
        ("silent", silent), ("speaks", speaks),
        ("defines", defines), ("same", same),
        ("features", features), ("noun", noun),
        ("add", add), ("either", either),
        ("hold", hold), ("persons", persons),
        ("point", point), ("several", several),
        ("fill", fill), ("list", list),
        ("minus", minus), ("quantify", quantify),
        ("flag", with_flag), ("hedge", hedge),
        ("on-condition", on_condition), ("inspection", inspection),
        ("under-rule", under_rule), ("force", force),
        ("not", not), ("deed", deed),
        ("state", state), ("state-by", state_by),
        ("join", join), ("join-except", join_except),
        ("closes", closes), ("opens", opens),
        ("during", during), ("except", except),
        ("excepted", excepted), ("both-or", both_or),
        ("hold-if", hold_if), ("hold-as-one", hold_as_one),
        ("certificates", certificates), ("refers-but", refers_but),
        ("permit", permit), ("oblige", oblige),
        ("forbid", forbid), ("positive", positive),
        ("negative", negative), ("negative-force", negative_force),
        ("state-also", state_also), ("state-also-may", state_also_may),
        ("during-state", during_state), ("cleft", cleft),
        ("unless-not", unless_not), ("without-certificates", without_certificates),
        ("bar-unless", bar_unless), ("denies", denies),
        ("certificate-of", certificate_of), ("features-rule", features_rule),
        ("either-rating", either_rating), ("each-rating", each_rating),
        ("ban", ban), ("except-nobody", except_nobody),
        ("ban-by", ban_by), ("state-certificate", state_certificate),
        ("bar-unless-other", bar_unless_other), ("features-of", features_of),
        ("rating-of", rating_of), ("holder-of", holder_of),
        ("no-inspection-by", no_inspection_by), ("only-wider", only_wider),
        ("only-silent", only_silent), ("owner", owner),
        ("valid-only", valid_only), ("valid-only-not", valid_only_not),
        ("deed-not", deed_not), ("also", also),
        ("otherwise", otherwise), ("when-not", when_not),
        ("asked", asked), ("asked-of", asked_of),
    ];
    let at = known.iter().position(|(n, _)| *n == name)?;
    Some((known[at].1, at < IDLE))
}

impl Given<'_> {
    fn value(&self) -> Option<&Value> {
        match self {
            Given::Value(v) => Some(v),
            _ => None,
        }
    }

    fn name(&self) -> Option<&str> {
        match self {
            Given::Name(n) => Some(n),
            _ => None,
        }
    }

    fn items(&self) -> Option<&[Item]> {
        match self.value()? {
            Value::Nouns(items) => Some(items),
            _ => None,
        }
    }

    /// A list of persons with its quantifier; a bare list is a plain one.
    fn subject(&self) -> Option<(Quantifier, Persons)> {
        match self.value()? {
            Value::Subject(q, p) => Some((*q, p.clone())),
            Value::Persons(p) => Some((Quantifier::Plain, p.clone())),
            Value::Deed(q, p, _) => Some((*q, p.clone())),
            _ => None,
        }
    }

    fn inspections(&self) -> Option<Inspections> {
        match self {
            Given::Nothing => Some(insp::BACK),
            Given::Name(n) => insp::named(n),
            Given::Value(Value::Inspections(i)) => Some(*i),
            Given::Value(Value::Deed(_, _, i)) => Some(*i),
            Given::Value(_) => None,
        }
    }

    fn force(&self) -> Option<Force> {
        match self {
            Given::Name(n) => Some(Force {
                mode: Mode::named(n.strip_suffix("-also").unwrap_or(n))?,
                only: false,
                also: n.ends_with("-also"),
            }),
            Given::Value(Value::Force(force)) => Some(*force),
            _ => None,
        }
    }
}

fn same(given: &[Given<'_>]) -> Option<Value> {
    given.first()?.value().cloned()
}

fn nothing(_: &[Given<'_>]) -> Option<Value> {
    Some(Value::Unit)
}

/// The manner of an act, by a rule; a rule that gives persons their privileges is none of it.
fn manner(given: &[Given<'_>]) -> Option<Value> {
    let of_persons = f::S65_104
        | f::S65_107
        | f::S65_109A
        | f::S65_109B
        | f::S65_109
        | f::S65_101
        | f::MECHANIC_RULE
        | f::IA
        | f::PART_65
        | f::PART_145;
    (all_features(given)? & of_persons == 0).then_some(Value::Unit)
}

/// Features of all arguments: names, or values with features.
fn all_features(given: &[Given<'_>]) -> Option<Features> {
    let mut all = 0;
    for g in given {
        all |= match g {
            Given::Nothing => 0,
            Given::Name(n) => feature(n)?,
            Given::Value(Value::Features(bits)) => *bits,
            Given::Value(Value::Unit) => 0,
            Given::Value(_) => return None,
        };
    }
    Some(all)
}

fn features(given: &[Given<'_>]) -> Option<Value> {
    all_features(given).map(Value::Features)
}

/// `noun HEAD feature …`
fn noun(given: &[Given<'_>]) -> Option<Value> {
    let (head, rest) = given.split_first()?;
    Some(Value::Nouns(vec![(
        Head::named(head.name()?)?,
        all_features(rest)?,
    )]))
}

/// `add NOUNS feature …`: to each of them.
fn add(given: &[Given<'_>]) -> Option<Value> {
    let (nouns, rest) = given.split_first()?;
    let bits = all_features(rest)?;
    Some(tidy(
        nouns
            .items()?
            .iter()
            .map(|&(h, had)| (h, had | bits))
            .collect(),
    ))
}

fn tidy(mut items: Vec<Item>) -> Value {
    items.sort_unstable();
    items.dedup();
    Value::Nouns(items)
}

/// `either NOUNS NOUNS`
fn either(given: &[Given<'_>]) -> Option<Value> {
    let mut all = Vec::new();
    for g in given {
        all.extend_from_slice(g.items()?);
    }
    Some(tidy(all))
}

/// `hold NOUNS MODIFIER`: features go to the noun; a certificate makes it the holder of it.
fn hold(given: &[Given<'_>]) -> Option<Value> {
    let [nouns, modifier] = given else {
        return None;
    };
    let nouns = nouns.items()?;
    match modifier.value()? {
        Value::Features(bits) => Some(tidy(
            nouns.iter().map(|&(h, had)| (h, had | bits)).collect(),
        )),
        Value::Nouns(certificates) => {
            let mut all = Vec::new();
            for &(head, had) in nouns {
                for &(certificate, bits) in certificates {
                    let held = match certificate {
                        Head::Repairman => f::CERT_REPAIRMAN,
                        Head::Mechanic => f::CERT_MECHANIC,
                        Head::Station => f::CERT_STATION,
                        _ => return None,
                    };
                    let owner = if head == Head::Owner { f::OWNS } else { 0 };
                    all.push((head, had | bits | held | owner));
                }
            }
            Some(tidy(all))
        }
        Value::Unit => Some(tidy(nouns.to_vec())),
        _ => None,
    }
}

fn persons(given: &[Given<'_>]) -> Option<Value> {
    let items = given.first()?.items()?;
    let mut all = person::persons(items)?;
    for g in &given[1..] {
        all.flags |= flag::named(g.name()?)?;
    }
    if items.iter().any(|(_, bits)| bits & f::PLURAL == 0) {
        all.flags |= flag::ONE;
    }
    Some(Value::Persons(all))
}

/// `point FLAG …`: persons spoken of elsewhere.
fn point(given: &[Given<'_>]) -> Option<Value> {
    let mut flags = 0;
    for g in given {
        flags |= flag::named(g.name()?)?;
    }
    Some(Value::Persons(Persons {
        flags,
        ..Persons::default()
    }))
}

/// `several PERSONS`: "A or B, either of whom", and not "A, either of whom".
fn several(given: &[Given<'_>]) -> Option<Value> {
    let persons = only_persons(given.first()?)?;
    let more = persons.named.len() > 1 || persons.flags & flag::ONE == 0;
    more.then_some(Value::Persons(persons))
}

/// `fill STATEMENTS LIST`: the list that follows takes the place of "the following", "those named here".
fn fill(given: &[Given<'_>]) -> Option<Value> {
    let [stated, list] = given else { return None };
    let list = only_persons(list)?;
    if list.named.is_empty() {
        return None;
    }
    let mut all = statements(stated)?.to_vec();
    let mut filled = false;
    for says in &mut all {
        let persons = &mut says.persons;
        if persons.flags & flag::AHEAD == 0 {
            continue;
        }
        filled = true;
        if persons.flags & flag::OUT == 0 {
            *persons = persons.with(&list);
        } else {
            if !list.excluded.is_empty() || !list.named.iter().all(Named::is_whole_kind) {
                return None;
            }
            persons.excluded.extend(list.named.iter().map(|n| n.kind));
            persons.flags &= !flag::OUT;
        }
        persons.flags &= !(flag::AHEAD | flag::ONE);
        // of a list behind "may", each; behind "only", each of those that it lets in
        if says.form == Form::Open {
            persons.flags &= !flag::AND;
        }
    }
    filled.then_some(Value::Says(all))
}

fn only_persons(given: &Given<'_>) -> Option<Persons> {
    match given.value()? {
        Value::Persons(p) => Some(p.clone()),
        _ => None,
    }
}

/// `list A B [flag …]`
fn list(given: &[Given<'_>]) -> Option<Value> {
    let mut all = only_persons(given.first()?)?.with(&only_persons(given.get(1)?)?);
    for g in &given[2..] {
        let bits = flag::named(g.name()?)?;
        // "Mechanics and repair stations may": each of them; "a mechanic and a builder": both?
        if bits != flag::AND || all.flags & flag::ONE != 0 {
            all.flags |= bits;
        }
    }
    Some(Value::Persons(all))
}

/// `minus A B`: A, but not B.
fn minus(given: &[Given<'_>]) -> Option<Value> {
    let [list, out] = given else { return None };
    let (quantifier, mut persons) = list.subject()?;
    let (_, out) = out.subject()?;
    if !out.excluded.is_empty() || out.flags & !(flag::AND | flag::ONE) != 0 || out.named.is_empty()
    {
        return None;
    }
    if persons
        .named
        .iter()
        .any(|n| out.named.iter().any(|o| o.kind == n.kind))
    {
        return None;
    }
    persons.excluded.extend(out.named.iter().map(|n| n.kind));
    Some(match list.value()? {
        Value::Persons(_) => Value::Persons(persons),
        _ => Value::Subject(quantifier, persons),
    })
}

/// `quantify NAME LIST`; without a list, of nobody named.
fn quantify(given: &[Given<'_>]) -> Option<Value> {
    let quantifier = Quantifier::named(given.first()?.name()?)?;
    let persons = match given.get(1) {
        None | Some(Given::Nothing) => Persons::default(),
        Some(g) => match g.subject()? {
            (Quantifier::Plain, p) => p,
            (q, p) if q == quantifier => p,
            _ => return None,
        },
    };
    Some(Value::Subject(quantifier, persons))
}

/// `flag VALUE NAME …`
fn with_flag(given: &[Given<'_>]) -> Option<Value> {
    let (value, names) = given.split_first()?;
    let mut flags = 0;
    for name in names {
        flags |= flag::named(name.name()?)?;
    }
    Some(match value.value()?.clone() {
        Value::Persons(mut p) => {
            p.flags |= flags;
            Value::Persons(p)
        }
        Value::Subject(q, mut p) => {
            p.flags |= flags;
            Value::Subject(q, p)
        }
        Value::Deed(q, mut p, i) => {
            p.flags |= flags;
            Value::Deed(q, p, i)
        }
        Value::Says(mut all) => {
            for says in &mut all {
                says.persons.flags |= flags;
            }
            Value::Says(all)
        }
        other => other,
    })
}

/// `hedge SAYS`, `hedge FORCE`: "at the owner's option", "as a rule". A permission stays one; a duty
/// or a limit that holds as a rule only is one that a careful reader would not decide.
fn hedge(given: &[Given<'_>]) -> Option<Value> {
    let hedged = given.first()?;
    if let Some(force) = hedged.force() {
        return (force.mode == Mode::May && !force.only).then_some(Value::Force(force));
    }
    let mut all = statements(hedged)?.to_vec();
    for says in &mut all {
        if says.form != Form::Open {
            says.persons.flags |= flag::BOTH_SENSES;
        }
    }
    Some(Value::Says(all))
}

/// `on-condition SAYS CONDITION`: of a list that holds in the absence of somebody, he is one. Another
/// condition that speaks of somebody whom a closed list does not name leaves open whether he may.
fn on_condition(given: &[Given<'_>]) -> Option<Value> {
    let mut all = statements(given.first()?)?.to_vec();
    for says in &mut all {
        says.persons.flags |= flag::CONDITION;
        let Some(Value::Persons(of)) = given.get(1)?.value() else {
            continue;
        };
        let names = |kind| says.persons.named.iter().any(|n| n.kind == kind);
        if says.form != Form::Closed || of.named.iter().all(|n| names(n.kind)) {
            continue;
        }
        if of.flags & flag::WHEN_NOT != 0 {
            says.persons.named.extend(of.named.iter().copied());
        } else {
            says.persons.flags |= flag::BOTH_SENSES;
        }
    }
    Some(Value::Says(all))
}

/// `inspection NAME-or-VALUE …`: the first that says which; "the inspection" gives way.
fn inspection(given: &[Given<'_>]) -> Option<Value> {
    let mut all = 0;
    for g in given {
        match g {
            Given::Nothing => {}
            Given::Name(n) => all |= insp::named(n)?,
            Given::Value(Value::Inspections(i)) => all |= i,
            Given::Value(Value::Unit) => {}
            Given::Value(_) => return None,
        }
    }
    if all & !insp::BACK != 0 {
        all &= !insp::BACK;
    }
    // "any condition inspection required by these limitations" is the condition inspection
    if all & insp::ANY != 0 && all & !insp::ANY != 0 {
        all &= !insp::ANY;
    }
    (all != 0).then_some(Value::Inspections(all))
}

/// `under-rule INSPECTION RULE`: "its inspection under § 91.411" is another one.
fn under_rule(given: &[Given<'_>]) -> Option<Value> {
    let [inspected, Given::Value(Value::Features(rule))] = given else {
        return None;
    };
    let named = inspected.inspections()?;
    if rule & f::OTHER_INSPECTION == 0 {
        return Some(Value::Inspections(named));
    }
    (named & (insp::YEARLY | insp::HUNDRED) == 0).then_some(Value::Inspections(insp::OTHER))
}

/// `both-or INSPECTIONS INSPECTIONS`
fn both_or(given: &[Given<'_>]) -> Option<Value> {
    let mut all = 0;
    for g in given {
        all |= g.inspections()?;
    }
    Some(Value::Inspections(all))
}

/// `force MODE [only] [also]`, where MODE is a name or a modal.
fn force(given: &[Given<'_>]) -> Option<Value> {
    let (mode, rest) = given.split_first()?;
    let mut force = mode.force()?;
    for g in rest {
        match g.name()? {
            "only" => force.only = true,
            "also" => force.also = true,
            _ => return None,
        }
    }
    Some(Value::Force(force))
}

/// `not FORCE`: "is not authorized to" forbids, "is not required to" denies a need.
fn not(given: &[Given<'_>]) -> Option<Value> {
    let mut force = given.first()?.force()?;
    force.mode = match force.mode {
        Mode::May => Mode::MayNot,
        Mode::Must => Mode::NeedNot,
        _ => return None,
    };
    (!force.only).then_some(Value::Force(force))
}

/// `deed SUBJECT INSPECTIONS [INTERVAL] [only]`
fn deed(given: &[Given<'_>]) -> Option<Value> {
    let mut all = vec![Given::Name("may")];
    all.extend(given.iter().map(|g| match g {
        Given::Nothing => Given::Nothing,
        Given::Name(n) => Given::Name(n),
        Given::Value(v) => Given::Value(v),
    }));
    let (_, quantifier, persons, inspections) = parts(&all)?;
    Some(Value::Deed(quantifier, persons, inspections))
}

/// `state FORCE SUBJECT INSPECTIONS`: somebody may or must do it.
fn state(given: &[Given<'_>]) -> Option<Value> {
    let (force, quantifier, persons, inspections) = parts(given)?;
    // "A may only perform it": what does "only" limit?
    if force.only {
        return None;
    }
    judge(force, quantifier, persons, inspections)
}

/// `state-by FORCE SUBJECT INSPECTIONS`: it may or must be done by somebody. "May only be done
/// by A" limits A.
fn state_by(given: &[Given<'_>]) -> Option<Value> {
    let (force, quantifier, persons, inspections) = parts(given)?;
    let quantifier = match (force.only, quantifier) {
        (true, Quantifier::Plain) => Quantifier::Only,
        (true, Quantifier::Only) | (false, _) => quantifier,
        (true, _) => return None,
    };
    judge(force, quantifier, persons, inspections)
}

/// Force, subject and inspections of a statement: `FORCE SUBJECT INSPECTIONS [only]`, or
/// `FORCE DEED [only]`.
fn parts(given: &[Given<'_>]) -> Option<(Force, Quantifier, Persons, Inspections)> {
    let force = given.first()?.force()?;
    let second = given.get(1)?;
    let (mut quantifier, persons) = second.subject()?;
    let mut rest = &given[2..];
    let mut inspections = None;
    if let Some((last, before)) = rest.split_last()
        && last.name() == Some("only")
    {
        quantifier = match quantifier {
            Quantifier::Plain | Quantifier::Only => Quantifier::Only,
            _ => return None,
        };
        rest = before;
    }
    // The inspection, and behind it the intervals that may tell which it is.
    for g in rest {
        let here = match g {
            Given::Nothing => continue,
            g => g.inspections()?,
        };
        inspections = match inspections {
            None | Some(insp::BACK) => Some(here),
            Some(known) if clash(known, here) => return None,
            some => some,
        };
    }
    let inspections = match inspections {
        Some(i) => i,
        None => second.inspections().unwrap_or(insp::BACK),
    };
    Some((force, quantifier, persons, inspections))
}

/// Whether an interval belongs to another inspection than the one named: "the condition inspection
/// after an accident", "the condition inspection due at 100 hours".
const fn clash(named: Inspections, interval: Inspections) -> bool {
    interval == insp::OTHER && named & (insp::OTHER | insp::BACK | insp::ANY) == 0
        || interval == insp::HUNDRED && named == insp::YEARLY
}

/// "Only A, B excepted": is B shut out, or let in? Of "repairmen, except B" he is shut out.
fn exempts(persons: &Persons) -> bool {
    let broad = |n: &Named| {
        matches!(
            n.kind,
            Kind::Repairman | Kind::Other | Kind::LightSportRepairman
        )
    };
    !persons.excluded.is_empty() && !persons.named.iter().any(broad)
}

/// The heart: force of the verb and kind of subject make the statement. `None` where a careful
/// reader would not decide.
fn judge(
    force: Force,
    quantifier: Quantifier,
    mut persons: Persons,
    inspections: Inspections,
) -> Option<Value> {
    use Mode::{May, MayNot, Must, NeedNot, Should};
    use Quantifier::{AllOthers, AnyoneBut, ExceptBy, NobodyBut, NobodyElse, Only, Plain};
    let closed = Form::Closed;
    let says = |form: Form, mut persons: Persons| {
        if persons.flags & flag::HEDGED != 0 {
            persons.flags &= !flag::HEDGED;
            if form != Form::Open {
                persons.flags |= flag::BOTH_SENSES;
            }
        }
        Some(Value::Says(vec![Says {
            form,
            inspections,
            persons,
        }]))
    };
    if force.also {
        if force.mode != May {
            return None;
        }
        persons.flags |= flag::ALSO;
    }
    let nobody = persons.is_empty();
    if quantifier != Plain && exempts(&persons) {
        return None;
    }
    match (force.mode, quantifier) {
        (May | Must, NobodyElse) | (MayNot, AllOthers) if nobody => {
            persons.flags |= flag::CLOSES;
            says(closed, persons)
        }
        _ if nobody => None,
        (May | Must, Only | NobodyBut) | (MayNot, AnyoneBut | ExceptBy) => {
            persons.flags &= !flag::AND;
            says(closed, persons)
        }
        (May, Plain) => {
            persons.flags &= !flag::AND;
            says(Form::Open, persons)
        }
        (Must, Plain) => says(closed, persons),
        (MayNot, Plain) => {
            // "All mechanics may not": none of them, or not all?
            if !persons.excluded.is_empty() || persons.flags & flag::ALL != 0 {
                return None;
            }
            let unconditional = persons.named.iter().all(Named::is_whole_kind);
            if !unconditional {
                return None;
            }
            if persons.named.is_empty() {
                persons.flags |= flag::OUT;
            }
            persons.excluded = persons.named.iter().map(|n| n.kind).collect();
            persons.named.clear();
            says(Form::None, persons)
        }
        // "Need not be performed by A, nor by B" shuts nobody out.
        (NeedNot, Plain | Only) if persons.excluded.is_empty() => {
            says(Form::None, without_conditions(persons))
        }
        (Should, Plain | Only | NobodyBut) => {
            persons.flags |= flag::RECOMMENDS;
            says(Form::None, without_conditions(persons))
        }
        _ => None,
    }
}

fn without_conditions(persons: Persons) -> Persons {
    Persons {
        named: persons
            .named
            .iter()
            .map(|n| super::value::Named {
                kind: n.kind,
                asks: 0,
            })
            .collect(),
        ..persons
    }
}

fn statements<'a>(given: &'a Given<'_>) -> Option<&'a [Says]> {
    match given.value()? {
        Value::Says(all) => Some(all),
        _ => None,
    }
}

/// `join SAYS SAYS`
fn join(given: &[Given<'_>]) -> Option<Value> {
    let mut all = Vec::new();
    // "The following apply when the aircraft is rented: only A may": the condition is of what follows
    let mut condition = 0;
    for g in given {
        let here = statements(g)?;
        all.extend(here.iter().map(|says| {
            let mut says = says.clone();
            says.persons.flags |= condition;
            says
        }));
        let leads_in =
            |s: &Says| s.persons.flags & flag::SPEAKS != 0 && s.persons.flags & flag::AHEAD != 0;
        if here.iter().any(leads_in) {
            condition |= here
                .iter()
                .fold(0, |all, s| all | s.persons.flags & flag::CONDITION);
        }
    }
    (all.len() <= 4).then_some(Value::Says(all))
}

/// `join-except STATEMENTS STATEMENTS`: "inspections may be performed by A, except that the
/// 100-hour inspection shall be performed by B". What is excepted leaves the general statement.
fn join_except(given: &[Given<'_>]) -> Option<Value> {
    let general = statements(given.first()?)?;
    let excepted = statements(given.get(1)?)?;
    let taken = excepted.iter().fold(0, |all, s| all | s.inspections);
    let named = insp::YEARLY | insp::HUNDRED;
    if taken & !named != 0 {
        return join(given);
    }
    let mut all = general.to_vec();
    for says in &mut all {
        if says.inspections & insp::ANY != 0 {
            says.inspections = says.inspections & !insp::ANY | named & !taken;
        }
    }
    all.extend_from_slice(excepted);
    (all.len() <= 4).then_some(Value::Says(all))
}

/// Says nothing about who inspects.
fn silent(_: &[Given<'_>]) -> Option<Value> {
    Some(Value::Says(Vec::new()))
}

/// `closes`: the list that stands already is all.
fn closes(_: &[Given<'_>]) -> Option<Value> {
    Some(of_the_list(Form::Closed, flag::CLOSES))
}

/// `opens`: the list that stands already is not all.
fn opens(_: &[Given<'_>]) -> Option<Value> {
    Some(of_the_list(Form::None, flag::OPENS))
}

/// What is said of the list that stands already.
fn of_the_list(form: Form, flags: super::value::Flags) -> Value {
    Value::Says(vec![Says {
        form,
        inspections: insp::BACK,
        persons: Persons {
            flags,
            ..Persons::default()
        },
    }])
}

/// `during SAYS INTERVAL`: "each 12 calendar months" tells which inspection it is.
fn during(given: &[Given<'_>]) -> Option<Value> {
    let which = given.get(1)?.inspections()?;
    let mut all = match given.first()?.value()? {
        Value::Inspections(i) => {
            // "a condition inspection after an accident" is not the yearly one
            return (!clash(*i, which)).then_some(Value::Inspections(if *i == insp::BACK {
                which
            } else {
                *i
            }));
        }
        Value::Says(all) => all.clone(),
        Value::Deed(q, p, i) => {
            let i = if *i == insp::BACK { which } else { *i };
            return Some(Value::Deed(*q, p.clone(), i));
        }
        _ => return None,
    };
    for says in &mut all {
        // "for the inspection, the owner shall call on A" does not only speak of A; "after a major
        // repair" he does
        if says.persons.flags & flag::SPEAKS != 0 {
            if which != insp::OTHER {
                return None;
            }
        } else if says.inspections == insp::BACK {
            says.inspections = which | insp::BY_INTERVAL;
        } else if clash(says.inspections, which) {
            says.persons.flags |= flag::BOTH_SENSES;
        }
    }
    Some(Value::Says(all))
}

/// `except SAYS PERSONS`: "…, but not A" behind a whole statement.
fn except(given: &[Given<'_>]) -> Option<Value> {
    let [says, out] = given else { return None };
    let (_, out) = out.subject()?;
    if out.named.is_empty() || !out.excluded.is_empty() || out.flags & !(flag::AND | flag::ONE) != 0
    {
        return None;
    }
    match statements(says)? {
        [one] if !one.persons.named.is_empty() && one.form != Form::None => {
            let mut one = one.clone();
            if out
                .named
                .iter()
                .any(|o| one.persons.named.iter().any(|n| n.kind == o.kind))
            {
                return None;
            }
            one.persons
                .excluded
                .extend(out.named.iter().map(|n| n.kind));
            Some(Value::Says(vec![one]))
        }
        _ => None,
    }
}

/// `excepted SAYS PERSONS`: "…, A excepted" takes him out of a list; behind a closed one it may let him in.
fn excepted(given: &[Given<'_>]) -> Option<Value> {
    let closed = statements(given.first()?)?
        .iter()
        .any(|s| s.form == Form::Closed);
    if closed { None } else { except(given) }
}

/// `speaks PERSONS…`: names persons without saying that they inspect; a later "such persons"
/// may mean them.
fn speaks(given: &[Given<'_>]) -> Option<Value> {
    let mut all = Persons::default();
    for g in given {
        match g.value() {
            Some(Value::Persons(p)) => all = all.with(p),
            Some(Value::Subject(_, p) | Value::Deed(_, p, _)) => all = all.with(p),
            _ => {}
        }
    }
    all.flags |= flag::SPEAKS;
    Some(Value::Says(vec![Says {
        form: Form::None,
        inspections: insp::BACK,
        persons: all,
    }]))
}

/// `defines PERSONS`: whom a term means.
fn defines(given: &[Given<'_>]) -> Option<Value> {
    let (_, mut persons) = given.first()?.subject()?;
    persons.flags |= flag::DEFINES;
    Some(Value::Says(vec![Says {
        form: Form::None,
        inspections: insp::BACK,
        persons,
    }]))
}

/// `hold-if CERTIFICATES`: "if he holds it" is a condition, "holding it" is not.
fn hold_if(given: &[Given<'_>]) -> Option<Value> {
    match given.first()?.value()? {
        Value::Nouns(items) => Some(tidy(
            items
                .iter()
                .map(|&(h, had)| (h, had | f::IF_CERTIFICATED))
                .collect(),
        )),
        Value::Features(bits) => Some(Value::Features(*bits)),
        _ => None,
    }
}

/// `hold-as-one NOUN FEATURES`: "the builder, a repairman certificated under § 65.104,".
fn hold_as_one(given: &[Given<'_>]) -> Option<Value> {
    let [noun, features] = given else { return None };
    let bits = all_features(std::slice::from_ref(features))?;
    Some(tidy(
        noun.items()?
            .iter()
            .map(|&(h, had)| (h, had | bits))
            .collect(),
    ))
}

/// `certificates QUANTIFIER CERTIFICATES`
fn certificates(given: &[Given<'_>]) -> Option<Value> {
    let [quantifier, certificates] = given else {
        return None;
    };
    Some(Value::Subject(
        Quantifier::named(quantifier.name()?)?,
        person::persons(certificates.items()?)?,
    ))
}

/// `refers-but QUANTIFIER`: "persons other than those named in limitation 7".
fn refers_but(given: &[Given<'_>]) -> Option<Value> {
    Some(Value::Subject(
        Quantifier::named(given.first()?.name()?)?,
        Persons {
            flags: flag::REFERS,
            ..Persons::default()
        },
    ))
}

fn changed(given: &[Given<'_>], change: impl Fn(Mode) -> Option<Mode>) -> Option<Value> {
    let mut force = given.first()?.force()?;
    if force.only || force.also {
        return None;
    }
    force.mode = change(force.mode)?;
    Some(Value::Force(force))
}

/// `permit FORCE`: "shall be permitted to".
fn permit(given: &[Given<'_>]) -> Option<Value> {
    // "may be authorized": he can be, and is not yet; "must be authorized": it is asked of him
    changed(given, |mode| (mode == Mode::MayNot).then_some(Mode::MayNot))
}

/// `oblige FORCE`: "shall be required to".
fn oblige(given: &[Given<'_>]) -> Option<Value> {
    changed(given, |mode| match mode {
        Mode::Must => Some(Mode::Must),
        Mode::MayNot => Some(Mode::NeedNot),
        _ => None,
    })
}

/// `forbid FORCE`: "shall be prohibited from".
fn forbid(given: &[Given<'_>]) -> Option<Value> {
    changed(given, |mode| (mode == Mode::Must).then_some(Mode::MayNot))
}

/// `positive FORCE`: of force only where it permits or obliges.
fn positive(given: &[Given<'_>]) -> Option<Value> {
    matches!(given.first()?.force()?.mode, Mode::May | Mode::Must).then_some(Value::Unit)
}

/// `negative FORCE`: of force only where it forbids.
fn negative(given: &[Given<'_>]) -> Option<Value> {
    (given.first()?.force()?.mode == Mode::MayNot).then_some(Value::Unit)
}

fn negative_force(given: &[Given<'_>]) -> Option<Value> {
    negative(given)?;
    given.first()?.value().cloned()
}

/// `state-also FORCE SUBJECT INSPECTIONS`: adds to the list before it.
fn state_also(given: &[Given<'_>]) -> Option<Value> {
    let (mut force, quantifier, persons, inspections) = parts(given)?;
    force.also = true;
    judge(force, quantifier, persons, inspections)
}

/// `state-also-may`: a permission adds, anything else stands for itself.
fn state_also_may(given: &[Given<'_>]) -> Option<Value> {
    let (mut force, quantifier, persons, inspections) = parts(given)?;
    force.also = force.mode == Mode::May;
    judge(force, quantifier, persons, inspections)
}

/// `during-state FORCE SUBJECT INTERVAL`
fn during_state(given: &[Given<'_>]) -> Option<Value> {
    state(given)
}

/// `cleft FORCE PERSONS INSPECTIONS`: "it is A who must perform it". With "may" a careful reader
/// would not decide.
fn cleft(given: &[Given<'_>]) -> Option<Value> {
    let (force, quantifier, persons, inspections) = parts(given)?;
    (force.mode == Mode::Must).then_some(())?;
    judge(force, quantifier, persons, inspections)
}

/// `unless-not FORCE PERSONS INSPECTIONS`: "may not be performed by anyone unless he is A".
fn unless_not(given: &[Given<'_>]) -> Option<Value> {
    let (mut force, quantifier, persons, inspections) = parts(given)?;
    if force.mode != Mode::MayNot || quantifier != Quantifier::Plain {
        return None;
    }
    force.mode = Mode::Must;
    judge(force, Quantifier::Only, persons, inspections)
}

/// `without-certificates FORCE CERTIFICATES INSPECTIONS`: "no person may perform it without A".
fn without_certificates(given: &[Given<'_>]) -> Option<Value> {
    let force = given.first()?.force()?;
    let persons = person::persons(given.get(1)?.items()?)?;
    judge(
        force,
        Quantifier::Only,
        persons,
        given.get(2)?.inspections()?,
    )
}

/// `bar-unless FORCE PERSONS INSPECTIONS CERTIFICATES-or-RATINGS`: "the builder may not perform
/// it unless he holds …" asks something of one kind and says nothing of the others.
fn bar_unless(given: &[Given<'_>]) -> Option<Value> {
    let (force, quantifier, persons, inspections) = parts(&given[..3])?;
    if force.mode != Mode::MayNot || quantifier != Quantifier::Plain || !persons.excluded.is_empty()
    {
        return None;
    }
    let asks = match given.get(3)?.value()? {
        Value::Nouns(_) => person::asked(f::IF_CERTIFICATED),
        Value::Features(bits) => person::asked(*bits),
        _ => return None,
    };
    if asks == 0 || persons.named.is_empty() {
        return None;
    }
    let named = persons
        .named
        .iter()
        .map(|n| super::value::Named {
            kind: n.kind,
            asks: n.asks | asks,
        })
        .collect();
    Some(Value::Says(vec![Says {
        form: Form::None,
        inspections,
        persons: Persons {
            named,
            flags: persons.flags | flag::ASKED,
            ..persons
        },
    }]))
}

/// `denies FORCE [PERSONS] [INSPECTIONS]`: "need not hold" says nothing of who inspects; anything
/// stronger might.
fn denies(given: &[Given<'_>]) -> Option<Value> {
    let (force, rest) = given.split_first()?;
    (force.force()?.mode == Mode::NeedNot).then_some(())?;
    let mut persons = Persons::default();
    let mut inspections = insp::BACK;
    for g in rest {
        match g.value()? {
            Value::Nouns(items) => persons = person::persons(items)?,
            Value::Persons(named) => persons = named.clone(),
            _ => inspections = g.inspections()?,
        }
    }
    let mut persons = without_conditions(persons);
    persons.flags |= flag::DENIES;
    Some(Value::Says(vec![Says {
        form: Form::None,
        inspections,
        persons,
    }]))
}

/// `only-silent SAYS`: of a hypothesis only where the main clause says nothing of who inspects.
fn only_silent(given: &[Given<'_>]) -> Option<Value> {
    statements(given.first()?)?
        .iter()
        .all(|s| s.persons.flags & flag::SPEAKS != 0)
        .then(|| Value::Says(Vec::new()))
}

/// `only-wider PERSONS`: "only under the supervision of A": A, and whom he supervises.
fn only_wider(given: &[Given<'_>]) -> Option<Value> {
    let mut persons = only_persons(given.first()?)?;
    persons.flags |= flag::WIDER;
    Some(Value::Subject(Quantifier::Only, persons))
}

/// `features-of RATINGS-or-CERTIFICATES feature …`: with more features.
fn features_of(given: &[Given<'_>]) -> Option<Value> {
    let (first, rest) = given.split_first()?;
    let bits = all_features(rest)?;
    match first.value()? {
        Value::Features(had) => Some(Value::Features(had | bits)),
        Value::Nouns(items) => Some(tidy(
            items.iter().map(|&(h, had)| (h, had | bits)).collect(),
        )),
        _ => None,
    }
}

/// `rating-of NOUN`: never of anything but a rating; kept for "the A&P ratings".
fn rating_of(given: &[Given<'_>]) -> Option<Value> {
    match given.first()?.items()? {
        [(Head::Mechanic, _)] => Some(Value::Features(f::BOTH)),
        _ => None,
    }
}

/// `holder-of RATING`: the holder of an inspection authorization is a mechanic.
fn holder_of(given: &[Given<'_>]) -> Option<Value> {
    match given.first()?.value()? {
        Value::Features(bits) if bits & f::IA != 0 => {
            Some(Value::Nouns(vec![(Head::Mechanic, *bits)]))
        }
        Value::Features(bits) if bits & f::BOTH != 0 => {
            Some(Value::Nouns(vec![(Head::Mechanic, *bits)]))
        }
        _ => None,
    }
}

/// `no-inspection-by BY INSPECTIONS`: "no inspection will be accepted which was made by anyone
/// other than A".
fn no_inspection_by(given: &[Given<'_>]) -> Option<Value> {
    let (quantifier, persons) = given.first()?.subject()?;
    (quantifier == Quantifier::AnyoneBut).then_some(())?;
    let force = Force {
        mode: Mode::MayNot,
        only: false,
        also: false,
    };
    judge(force, quantifier, persons, given.get(1)?.inspections()?)
}

/// `certificate-of RULE`: "the § 65.104 certificate" is a repairman certificate.
fn certificate_of(given: &[Given<'_>]) -> Option<Value> {
    let bits = all_features(given)?;
    let repairman = f::S65_104 | f::S65_107 | f::S65_109 | f::S65_109A | f::S65_109B | f::S65_101;
    let head = if bits & repairman != 0 {
        Head::Repairman
    } else if bits & f::PART_145 != 0 {
        Head::Station
    } else {
        return None;
    };
    Some(Value::Nouns(vec![(head, bits)]))
}

/// `features-rule RATING RULE`
fn features_rule(given: &[Given<'_>]) -> Option<Value> {
    features(given)
}

/// `either-rating RATINGS RATINGS`: "with an inspection or a maintenance rating" names both kinds;
/// "an airframe or a powerplant rating" does not mean both.
fn either_rating(given: &[Given<'_>]) -> Option<Value> {
    let bits = all_features(given)?;
    (bits & !(f::INSPECTION | f::MAINTENANCE) == 0).then_some(Value::Features(bits))
}

/// `each-rating RATING RATING`: both of them. Whether a repairman with one of the two light-sport ratings
/// is then meant is not for us to say.
fn each_rating(given: &[Given<'_>]) -> Option<Value> {
    let bits = all_features(given)?;
    let both = bits & f::INSPECTION != 0 && bits & f::MAINTENANCE != 0;
    Some(Value::Features(if both { bits | f::OTHER } else { bits }))
}

/// `ban FORCE NOUNS INSPECTIONS`: "no repairman may perform it".
fn ban(given: &[Given<'_>]) -> Option<Value> {
    let mut force = given.first()?.force()?;
    if !matches!(force.mode, Mode::May | Mode::Must) || force.only || force.also {
        return None;
    }
    force.mode = Mode::MayNot;
    let persons = person::persons(given.get(1)?.items()?)?;
    judge(
        force,
        Quantifier::Plain,
        persons,
        given.get(2)?.inspections()?,
    )
}

/// `ban-by FORCE BY INSPECTIONS`: "no inspection may be performed by A".
fn ban_by(given: &[Given<'_>]) -> Option<Value> {
    let (mut force, quantifier, persons, inspections) = parts(given)?;
    if !matches!(force.mode, Mode::May | Mode::Must) || force.only || force.also {
        return None;
    }
    force.mode = Mode::MayNot;
    judge(force, quantifier, persons, inspections)
}

/// `state-certificate FORCE CERTIFICATES INSPECTIONS`: of the holder of the certificate.
fn state_certificate(given: &[Given<'_>]) -> Option<Value> {
    let force = given.first()?.force()?;
    let persons = person::persons(given.get(1)?.items()?)?;
    judge(
        force,
        Quantifier::Plain,
        persons,
        given.get(2)?.inspections()?,
    )
}

/// `except-nobody SUBJECT FORCE INSPECTIONS PERSONS`: "no one may perform it except A".
fn except_nobody(given: &[Given<'_>]) -> Option<Value> {
    let [subject, force, inspections, persons] = given else {
        return None;
    };
    let (quantifier, others) = subject.subject()?;
    if !matches!(quantifier, Quantifier::Nobody | Quantifier::NobodyElse) || !others.is_empty() {
        return None;
    }
    let (quantifier, persons) = persons.subject()?;
    if quantifier != Quantifier::Plain {
        return None;
    }
    judge(
        force.force()?,
        Quantifier::NobodyBut,
        persons,
        inspections.inspections()?,
    )
}

/// `bar-unless-other FORCE PERSONS INSPECTIONS`: "A may not perform it unless …" in other words.
fn bar_unless_other(given: &[Given<'_>]) -> Option<Value> {
    let other = Value::Features(f::OTHER);
    let mut all: Vec<Given<'_>> = given
        .iter()
        .map(|g| match g {
            Given::Nothing => Given::Nothing,
            Given::Name(n) => Given::Name(n),
            Given::Value(v) => Given::Value(v),
        })
        .collect();
    all.push(Given::Value(&other));
    bar_unless(&all)
}

/// `asked SAYS FEATURES`: "A may perform it, provided he holds an inspection authorization" asks it of the
/// one of whom the statement speaks; of several it does not say of which.
fn asked(given: &[Given<'_>]) -> Option<Value> {
    let [says, features] = given else { return None };
    let Value::Features(bits) = features.value()? else {
        return None;
    };
    if bits & !(f::IA | f::OWNS) != 0 {
        return None;
    }
    let asks = person::asked(*bits);
    let mut all = statements(says)?.to_vec();
    for says in &mut all {
        let one = says.persons.named.len() == 1 && says.persons.excluded.is_empty();
        if asks == 0 || says.form == Form::None || !one {
            return None;
        }
        let named = std::mem::take(&mut says.persons.named);
        says.persons.named = named
            .into_iter()
            .map(|n| Named {
                kind: n.kind,
                asks: n.asks | asks,
            })
            .collect();
    }
    (!all.is_empty()).then_some(Value::Says(all))
}

/// `asked-of SAYS PERSONS FEATURES`: "by A or B; the B must hold an inspection authorization" asks it of the
/// one of that kind whom the statement names.
fn asked_of(given: &[Given<'_>]) -> Option<Value> {
    let [says, of, features] = given else {
        return None;
    };
    let Value::Features(bits) = features.value()? else {
        return None;
    };
    let of = only_persons(of)?;
    let [one] = of.named.iter().collect::<Vec<_>>()[..] else {
        return None;
    };
    let asks = person::asked(*bits);
    if bits & !(f::IA | f::OWNS) != 0 || asks == 0 || one.asks != 0 || !of.excluded.is_empty() {
        return None;
    }
    let mut all = statements(says)?.to_vec();
    let [stated] = all.as_mut_slice() else {
        return None;
    };
    let named = std::mem::take(&mut stated.persons.named);
    let meant = named.iter().filter(|n| n.kind == one.kind).count();
    if stated.form == Form::None || meant != 1 {
        return None;
    }
    stated.persons.named = named
        .into_iter()
        .map(|n| Named {
            kind: n.kind,
            asks: if n.kind == one.kind {
                n.asks | asks
            } else {
                n.asks
            },
        })
        .collect();
    Some(Value::Says(all))
}

/// `owner NOUNS`: he who has the inspection done.
fn owner(given: &[Given<'_>]) -> Option<Value> {
    given
        .first()?
        .items()?
        .iter()
        .all(|(head, _)| matches!(head, Head::Owner))
        .then_some(Value::Unit)
}

/// `valid-only BY INSPECTIONS`: "is valid only if performed by A".
fn valid_only(given: &[Given<'_>]) -> Option<Value> {
    let (quantifier, persons) = given.first()?.subject()?;
    let inspections = given.get(1)?.inspections()?;
    let must = Force {
        mode: Mode::Must,
        only: false,
        also: false,
    };
    match quantifier {
        Quantifier::Plain | Quantifier::Only => judge(must, Quantifier::Only, persons, inspections),
        _ => None,
    }
}

/// `valid-only-not FORCE BY INSPECTIONS`: "shall not be valid unless performed by A".
fn valid_only_not(given: &[Given<'_>]) -> Option<Value> {
    negative(given)?;
    valid_only(&given[1..])
}

/// `deed-not BY INSPECTIONS`: an inspection that is not performed by A.
fn deed_not(given: &[Given<'_>]) -> Option<Value> {
    match given.first()?.subject()? {
        (Quantifier::Plain, persons) => Some(Value::Deed(
            Quantifier::AnyoneBut,
            persons,
            given.get(1)?.inspections()?,
        )),
        _ => None,
    }
}

/// `also SAYS PERSONS [closes]`: "…, as may A".
fn also(given: &[Given<'_>]) -> Option<Value> {
    let mut all = statements(given.first()?)?.to_vec();
    // "The owner may call on A, or B may perform it" adds to nothing, and "A is barred, as is B" to a ban.
    if all.iter().all(|s| s.persons.flags & flag::SPEAKS != 0) || all.iter().any(names_no_list) {
        return None;
    }
    let (quantifier, persons) = given.get(1)?.subject()?;
    let may = Force {
        mode: Mode::May,
        only: false,
        also: true,
    };
    let Value::Says(added) = judge(may, quantifier, persons, insp::BACK)? else {
        return None;
    };
    all.extend(added);
    if given.len() > 2 {
        let Value::Says(closing) = closes(&[])? else {
            return None;
        };
        all.extend(closing);
    }
    Some(Value::Says(all))
}

/// Whether this is a ban, or denies a need.
pub(crate) fn names_no_list(says: &Says) -> bool {
    says.form == Form::None && says.persons.flags & flag::SPEAKS == 0
}

/// `otherwise SAYS SUBJECT FORCE [INSPECTIONS]`: A may; otherwise only B may.
fn otherwise(given: &[Given<'_>]) -> Option<Value> {
    let first = statements(given.first()?)?;
    let [first] = first else { return None };
    let (quantifier, persons) = given.get(1)?.subject()?;
    let force = given.get(2)?.force()?;
    let limits = matches!(
        (force.mode, quantifier),
        (Mode::May | Mode::Must, Quantifier::Only) | (Mode::Must, Quantifier::Plain)
    );
    let plain = first.form != Form::None && !first.persons.named.is_empty();
    if !limits || !plain || persons.named.is_empty() {
        return None;
    }
    Some(Value::Says(vec![Says {
        form: Form::Closed,
        inspections: first.inspections,
        persons: first.persons.with(&persons),
    }]))
}

/// `when-not FORCE BY INSPECTIONS PERSONS`: if it is not performed by A, it must be by B.
fn when_not(given: &[Given<'_>]) -> Option<Value> {
    let (force, quantifier, persons, inspections) = parts(&given[..3])?;
    let (_, first) = given.get(3)?.subject()?;
    if force.mode != Mode::Must || !matches!(quantifier, Quantifier::Plain | Quantifier::Only) {
        return None;
    }
    judge(force, Quantifier::Only, persons.with(&first), inspections)
}
