//! Oracles that know the language and the binary, and nothing else of the tool: `tests/oracle/outside/*.py`.
//!
//! A run takes a few books by a new seed, which it prints; with TIPRING_FULL=1 hundreds. TIPRING_SEED=n gives the same again.

#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing, clippy::unreachable)]
#![allow(clippy::disallowed_methods, clippy::print_stdout, clippy::print_stderr, unreachable_pub)]

use std::io::Write;
use std::process::{Command, Stdio};

/// Against OR-tools (CP-SAT).
#[test]
fn free_contacts_move_as_little_as_they_may() {
    oracle("free_contacts.py", "ortools", 12, 300);
}

#[test]
fn momentary_contacts_land_right_on_every_walk() {
    oracle("momentary.py", "json", 30, 1000);
}

/// Sums of exact fractions over gains and steps.
#[test]
fn trims_are_stored_and_counted() {
    oracle("trims.py", "json", 30, 200);
}

/// Sums of exact fractions over the words of the book.
#[test]
fn power_is_added_up_and_what_does_not_fit_is_told() {
    oracle("power.py", "json", 40, 250);
}

/// Against complex arithmetic (numpy) over every set of places.
#[test]
fn buffers_are_the_fewest_of_all_places() {
    oracle("buffers.py", "numpy", 8, 100);
}

/// Against ngspice, and a graph library (networkx). Hundreds by hand: `python3 tests/oracle/outside/sums.py 500`.
#[test]
fn inserts_and_legs_add_up_and_who_is_unheard_is_told() {
    oracle("sums.py", "networkx", 8, 60);
}

/// Against a simulated computer and unit, the file read by mido. Thousands by hand: `python3 tests/oracle/outside/called.py 1000`.
#[test]
fn a_computer_that_plays_the_file_calls_what_is_meant() {
    oracle("called.py", "mido", 12, 200);
}

#[test]
fn lists_to_reprogram_are_right_and_the_fewest() {
    oracle("reprogram.py", "json", 15, 200);
}

/// Two thousand pairs of books; ten thousand by hand: `python3 tests/oracle/outside/memory.py 2000`.
#[test]
fn worksheet_table_and_diff_are_one_memory() {
    oracle("memory.py", "json", 8, 400);
}

#[test]
fn walks_press_as_little_as_they_may() {
    oracle("presses.py", "json", 15, 200);
}

#[test]
fn questions_are_answered_as_the_table_and_the_songs_say() {
    oracle("asking.py", "json", 4, 50);
}

/// At every place of the foot.
#[test]
fn treadles_move_what_each_scene_says() {
    oracle("treadle.py", "json", 25, 300);
}

#[test]
fn rules_hold_wherever_a_foot_stands_and_whatever_stays() {
    oracle("foot_stays.py", "json", 15, 200);
}

/// By a search over the leads.
#[test]
fn mutes_silence_all_but_tuners() {
    oracle("tuner.py", "json", 25, 600);
}

/// By a selector and a player's hands of its own.
#[test]
fn the_guitar_that_is_played_is_the_one_that_is_heard() {
    oracle("guitars.py", "json", 12, 100);
}

/// Against boards whose pedals are plugged so by hand.
#[test]
fn an_order_of_loops_is_as_if_the_pedals_stood_so() {
    oracle("orders.py", "json", 8, 60);
}

#[test]
fn orders_of_songs_are_played_as_written() {
    oracle("songs.py", "json", 10, 150);
}

/// Against the same board with every pedal in a loop.
#[test]
fn what_a_message_engages_is_as_if_a_loop_did() {
    oracle("switched.py", "json", 12, 300);
}

/// A simulated helper, programmed from what is printed; and the same board with one larger switcher.
#[test]
fn a_helper_engages_what_the_scene_engages() {
    oracle("second.py", "json", 20, 120);
}

/// A simulated unit, a wire and receivers (mido) that play a set.
#[test]
fn what_makes_no_sound_gets_its_messages_in_time() {
    oracle("cues.py", "mido", 20, 200);
}

/// A simulated unit that does what a comparison lists.
#[test]
fn what_makes_no_sound_is_reprogrammed_where_it_is_sent() {
    oracle("recued.py", "json", 15, 120);
}

#[test]
fn presets_are_placed_for_the_fewest_presses() {
    oracle("placed.py", "json", 5, 40);
}

/// Against OR-tools (CP-SAT) on the examples, in the time that the tool takes.
#[test]
fn placements_of_the_examples_are_no_worse_than_a_solvers() {
    oracle("placed_solver.py", "ortools", 1, 3);
}

#[test]
fn line_checks_are_the_fewest_and_tell_failures_apart() {
    oracle("linecheck.py", "json", 12, 100);
}

/// Against a graph library (networkx), each step done to the letter.
#[test]
fn each_plug_that_is_tested_has_a_path_from_guitar_to_amplifier() {
    oracle("buildcheck.py", "networkx", 12, 300);
}

#[test]
fn plugs_moved_line_by_line_give_the_new_boards_leads() {
    oracle("replug.py", "json", 15, 400);
}

#[test]
fn pedals_that_change_places_are_heard() {
    oracle("order.py", "json", 15, 400);
}

#[test]
fn tempos_left_over_are_told() {
    oracle("tempo.py", "json", 15, 300);
}

/// Bytes by mido; the fewest presets by every way of dealing the parts out.
#[test]
fn tempos_that_presets_give_are_the_songs() {
    oracle("given_tempo.py", "mido", 12, 150);
}

/// In whole fractions.
#[test]
fn words_and_steps_part_nowhere_in_silence() {
    oracle("few_steps.py", "json", 15, 300);
}

/// Against the book amended by hand, and a unit that reads the lists there and back.
#[test]
fn a_night_is_the_book_amended_by_hand_and_is_given_back() {
    oracle("night.py", "json", 6, 150);
}

#[test]
fn offers_lead_to_no_other_error() {
    oracle("offers.py", "json", 15, 80);
}

/// Each device that is out against the book written without it; the nearest scene against all of them.
#[test]
fn without_a_part_is_the_book_without_it() {
    oracle("without.py", "json", 6, 60);
}

/// Five thousand books by hand: `python3 tests/oracle/outside/follow.py 5000`.
#[test]
fn the_text_follows_and_fewer_statements_would_not_do() {
    oracle("follow.py", "json", 8, 60);
}

/// Against a graph library (networkx). Five thousand by hand: `python3 tests/oracle/outside/adopt.py 5000`.
#[test]
fn tables_come_back_as_books_in_as_few_words_as_can_be() {
    oracle("adopt.py", "networkx", 8, 60);
}

/// Thousands by hand: `python3 tests/oracle/outside/adopt_inside.py 2000`.
#[test]
fn tables_with_switches_inside_presets_come_back_as_books() {
    oracle("adopt_inside.py", "json", 6, 60);
}

#[test]
fn units_are_read_back_and_recorded_as_they_are() {
    oracle("readback.py", "json", 10, 60);
}

/// Every combination of the switches inside presets, and a unit that has what the worksheet says.
#[test]
fn switches_inside_presets_do_what_is_printed() {
    oracle("inside.py", "json", 60, 400);
}

/// A hand that does what the lists say of switches and second rows, on units that copy them and on units that do not.
#[test]
fn what_stands_beside_the_cells_is_set_as_the_lists_say() {
    oracle("beside.py", "json", 20, 120);
}

/// Beside switches inside presets a change moves what was asked for and nothing else, or is refused.
#[test]
fn changes_beside_switches_move_nothing_else() {
    oracle("changed.py", "json", 20, 120);
}

/// Against the same book with a scene of its own for each combination, beside all that a preset may hold.
#[test]
fn what_is_pressed_inside_a_preset_is_as_if_a_scene_said_it() {
    oracle("pressed.py", "json", 8, 150);
}

/// Killed by the system at any byte, on a full disk, by several writers.
#[test]
fn the_record_loses_no_line() {
    oracle("recordfile.py", "resource", 40, 350);
}

/// Runs one oracle over FEW books, in full over MANY. Without python3 or its package it is left out, aloud.
fn oracle(file: &str, package: &str, few: u32, many: u32) {
    let full = std::env::var("TIPRING_FULL").as_deref() == Ok("1");
    let python = std::env::var("TIPRING_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let ready = Command::new(&python).args(["-c", &format!("import {package}")]).stderr(Stdio::null()).status();
    if !ready.is_ok_and(|status| status.success()) {
        assert!(!full, "TIPRING_FULL=1 asks for {file}, and python3 with {package} is missing");
        loud(&format!("SKIPPED: {file}: python3 with {package} is missing (pip install {package})"));
        return;
    }
    let output = Command::new(&python)
        .arg(format!("{}/tests/oracle/outside/{file}", env!("CARGO_MANIFEST_DIR")))
        .arg(if full { many } else { few }.to_string())
        .env("TIPRING_BIN", env!("CARGO_BIN_EXE_tipring"))
        .env("PYTHONDONTWRITEBYTECODE", "1")
        .output()
        .expect("python3 starts");
    let said = String::from_utf8_lossy(&output.stdout);
    println!("{said}");
    assert!(output.status.success(), "a promise is broken, see above\n{}", String::from_utf8_lossy(&output.stderr));
}

/// Past the test harness, which keeps what a passing test prints to itself.
fn loud(line: &str) {
    let _ = writeln!(std::io::stderr(), "\n{line}");
}
