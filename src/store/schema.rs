//! The tables as Diesel sees them: one description for both engines. Instants are UTC, see
//! [`super::columns`]; ids are 64-bit; JSON and enums are text.
#![allow(missing_docs)]

diesel::table! {
    sites (id) {
        id -> BigInt,
        name -> Text,
        zone -> Text,
        units -> Text,
        currency -> Text,
        walk_mm_per_s -> BigInt,
        shed_x_mm -> BigInt,
        shed_y_mm -> BigInt,
        pay_week_starts_on -> BigInt,
        water_cents_per_m3 -> BigInt,
        created_at -> Timestamp,
        version -> BigInt,
        second_factor_required -> Bool,
    }
}

diesel::table! {
    site_head (site_id) {
        site_id -> BigInt,
        seq -> BigInt,
        hash -> Binary,
    }
}

diesel::table! {
    users (id) {
        id -> BigInt,
        email -> Text,
        name -> Text,
        password_hash -> Nullable<Text>,
        is_owner -> Bool,
        disabled_at -> Nullable<Timestamp>,
        created_at -> Timestamp,
        version -> BigInt,
        kind -> Text,
    }
}

diesel::table! {
    memberships (id) {
        id -> BigInt,
        site_id -> BigInt,
        user_id -> BigInt,
        role -> Text,
        created_at -> Timestamp,
    }
}

diesel::table! {
    sessions (id) {
        id -> BigInt,
        user_id -> BigInt,
        kind -> Text,
        family -> Text,
        generation -> BigInt,
        token_digest -> Binary,
        created_at -> Timestamp,
        expires_at -> Timestamp,
        replaced_at -> Nullable<Timestamp>,
        revoked_at -> Nullable<Timestamp>,
        made_under -> Nullable<Text>,
    }
}

diesel::table! {
    sign_in_tries (id) {
        id -> BigInt,
        kind -> Text,
        digest -> Binary,
        tries -> BigInt,
        first_at -> Timestamp,
        blocked_until -> Nullable<Timestamp>,
    }
}

diesel::table! {
    single_use_secrets (id) {
        id -> BigInt,
        user_id -> Nullable<BigInt>,
        kind -> Text,
        digest -> Binary,
        created_at -> Timestamp,
        expires_at -> Timestamp,
        used_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    second_factors (id) {
        id -> BigInt,
        user_id -> BigInt,
        sealed -> Binary,
        sealed_under -> Text,
        confirmed_at -> Nullable<Timestamp>,
        last_step -> BigInt,
        created_at -> Timestamp,
    }
}

diesel::table! {
    recovery_codes (id) {
        id -> BigInt,
        user_id -> BigInt,
        hash -> Text,
        used_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    devices (id) {
        id -> BigInt,
        site_id -> BigInt,
        user_id -> BigInt,
        name -> Text,
        made_by -> BigInt,
        created_at -> Timestamp,
        paired_at -> Nullable<Timestamp>,
        last_used_at -> Nullable<Timestamp>,
        revoked_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    api_keys (id) {
        id -> BigInt,
        user_id -> BigInt,
        name -> Text,
        digest -> Binary,
        hint -> Text,
        sees_cost -> Bool,
        sees_reports -> Bool,
        made_by -> BigInt,
        created_at -> Timestamp,
        expires_at -> Timestamp,
        last_used_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    api_key_sites (id) {
        id -> BigInt,
        site_id -> BigInt,
        api_key_id -> BigInt,
    }
}

diesel::table! {
    audit_touches (id) {
        id -> BigInt,
        site_id -> BigInt,
        seq -> BigInt,
        audit_event_id -> BigInt,
        subject_kind -> Text,
        subject_id -> BigInt,
    }
}

diesel::table! {
    audit_words (id) {
        id -> BigInt,
        site_id -> BigInt,
        audit_event_id -> BigInt,
        field -> Text,
        salt -> Binary,
        words -> Text,
    }
}

diesel::table! {
    settings (id) {
        id -> BigInt,
        site_id -> BigInt,
        key -> Text,
        value -> Text,
        updated_at -> Timestamp,
        version -> BigInt,
    }
}

diesel::table! {
    audit_events (id) {
        id -> BigInt,
        site_id -> BigInt,
        seq -> BigInt,
        at -> Timestamp,
        actor_user_id -> Nullable<BigInt>,
        verb -> Text,
        subject_kind -> Text,
        subject_id -> BigInt,
        data -> Text,
        prev_hash -> Binary,
        hash -> Binary,
        form -> BigInt,
        from_digest -> Nullable<Binary>,
    }
}

diesel::table! {
    idempotency_keys (id) {
        id -> BigInt,
        site_id -> BigInt,
        client_key -> Text,
        user_id -> BigInt,
        operation -> Text,
        request_digest -> Binary,
        body -> Text,
        created_at -> Timestamp,
    }
}

diesel::table! {
    backups (id) {
        id -> BigInt,
        why -> Text,
        began_at -> Timestamp,
        ended_at -> Timestamp,
        file -> Nullable<Text>,
        bytes -> Nullable<BigInt>,
        sha256 -> Nullable<Text>,
        heads -> Text,
        proved_at -> Nullable<Timestamp>,
        unproved_why -> Nullable<Text>,
        failed_why -> Nullable<Text>,
        removed_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    banks (id) {
        id -> BigInt,
        site_id -> BigInt,
        name -> Text,
        position -> BigInt,
        line_name -> Text,
        line_capacity_mlps -> BigInt,
        x_mm -> BigInt,
        y_mm -> BigInt,
        version -> BigInt,
    }
}

diesel::table! {
    courts (id) {
        id -> BigInt,
        site_id -> BigInt,
        bank_id -> BigInt,
        name -> Text,
        position -> BigInt,
        length_mm -> BigInt,
        width_mm -> BigInt,
        watering -> Text,
        lines -> Text,
        resurfaced_on -> Nullable<Date>,
        sprinkler_flow_mlps -> BigInt,
        soak_s -> BigInt,
        night_cycles -> BigInt,
        night_cycle_s -> BigInt,
        x_mm -> BigInt,
        y_mm -> BigInt,
        version -> BigInt,
        first_aid -> Nullable<Text>,
        ambulance_way -> Nullable<Text>,
    }
}

diesel::table! {
    closures (id) {
        id -> BigInt,
        site_id -> BigInt,
        court_id -> BigInt,
        starts_at -> Timestamp,
        ends_at -> Timestamp,
        reason -> Text,
        cancelled_at -> Nullable<Timestamp>,
        version -> BigInt,
        changed_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    play_sessions (id) {
        id -> BigInt,
        site_id -> BigInt,
        court_id -> BigInt,
        name -> Text,
        starts_at -> Timestamp,
        ends_at -> Timestamp,
        short_turnaround -> Bool,
        players_brush -> Bool,
        open_ended -> Bool,
        over_at -> Nullable<Timestamp>,
        short_ok -> Bool,
        cancelled_at -> Nullable<Timestamp>,
        version -> BigInt,
        changed_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    calendars (id) {
        id -> BigInt,
        site_id -> BigInt,
        name -> Text,
        court_id -> Nullable<BigInt>,
        courts -> Text,
        makes -> Text,
        short_turnaround -> Bool,
        address -> Nullable<Text>,
        allow_private -> Bool,
        etag -> Nullable<Text>,
        last_modified -> Nullable<Text>,
        asked_at -> Nullable<Timestamp>,
        fetch_error -> Nullable<Text>,
        imported_at -> Nullable<Timestamp>,
        report -> Nullable<Text>,
        version -> BigInt,
    }
}

diesel::table! {
    calendar_events (id) {
        id -> BigInt,
        site_id -> BigInt,
        calendar_id -> BigInt,
        uid -> Text,
        recurrence -> Text,
        sequence -> BigInt,
        digest -> Text,
        session_id -> Nullable<BigInt>,
        closure_id -> Nullable<BigInt>,
        gone -> Bool,
    }
}

diesel::table! {
    calendar_changes (id) {
        id -> BigInt,
        site_id -> BigInt,
        calendar_id -> BigInt,
        kind -> Text,
        uid -> Text,
        recurrence -> Text,
        sequence -> BigInt,
        digest -> Text,
        court_id -> BigInt,
        name -> Text,
        starts_at -> Timestamp,
        ends_at -> Timestamp,
        was_starts_at -> Nullable<Timestamp>,
        was_ends_at -> Nullable<Timestamp>,
        state -> Text,
        proposed_at -> Timestamp,
        decided_at -> Nullable<Timestamp>,
        decided_by -> Nullable<BigInt>,
    }
}

diesel::table! {
    care_tasks (id) {
        id -> BigInt,
        site_id -> BigInt,
        code -> Text,
        name -> Text,
        position -> BigInt,
        done_at -> Text,
        cadence -> Text,
        base_s -> BigInt,
        min_hands -> BigInt,
        skill -> Nullable<Text>,
        tool_action -> Nullable<Text>,
        ground -> Text,
        caution -> Nullable<Text>,
        skip_cents -> BigInt,
        source -> Text,
        urgency -> Text,
        safety -> Bool,
        detail -> Text,
        retired -> Bool,
        version -> BigInt,
        taken_up_on -> Nullable<Date>,
    }
}

diesel::table! {
    people (id) {
        id -> BigInt,
        site_id -> BigInt,
        user_id -> Nullable<BigInt>,
        name -> Text,
        skills -> Text,
        left_on -> Nullable<Date>,
        version -> BigInt,
        came_on -> Nullable<Date>,
        language -> Text,
    }
}

diesel::table! {
    pay_rates (id) {
        id -> BigInt,
        site_id -> BigInt,
        person_id -> BigInt,
        from_date -> Date,
        cents_per_h -> BigInt,
    }
}

diesel::table! {
    crews (id) {
        id -> BigInt,
        site_id -> BigInt,
        name -> Text,
        position -> BigInt,
        kit_limit -> BigInt,
        load_limit_g -> BigInt,
        version -> BigInt,
    }
}

diesel::table! {
    crew_members (id) {
        id -> BigInt,
        site_id -> BigInt,
        crew_id -> BigInt,
        person_id -> BigInt,
        from_date -> Date,
        until_date -> Nullable<Date>,
    }
}

diesel::table! {
    shifts (id) {
        id -> BigInt,
        site_id -> BigInt,
        crew_id -> BigInt,
        work_date -> Date,
        starts_at -> Timestamp,
        ends_at -> Timestamp,
        overtime_until -> Timestamp,
        break_s -> BigInt,
        break_from -> Nullable<Timestamp>,
        break_until -> Nullable<Timestamp>,
    }
}

diesel::table! {
    shift_people (id) {
        id -> BigInt,
        site_id -> BigInt,
        shift_id -> BigInt,
        person_id -> BigInt,
    }
}

diesel::table! {
    tool_classes (id) {
        id -> BigInt,
        site_id -> BigInt,
        code -> Text,
        name -> Text,
        action -> Text,
        strength -> Nullable<Text>,
        width_mm -> Nullable<BigInt>,
        brush_rows -> Nullable<BigInt>,
        bristle_um -> Nullable<BigInt>,
        wear_cents -> BigInt,
        wear_uses -> BigInt,
        pulled -> Text,
    }
}

diesel::table! {
    tools (id) {
        id -> BigInt,
        site_id -> BigInt,
        tool_class_id -> BigInt,
        number -> Text,
        state -> Text,
        in_service_from -> Date,
        version -> BigInt,
        retired_on -> Nullable<Date>,
    }
}

diesel::table! {
    wear_parts (id) {
        id -> BigInt,
        site_id -> BigInt,
        tool_id -> Nullable<BigInt>,
        court_id -> Nullable<BigInt>,
        kind -> Text,
        start_um -> Nullable<BigInt>,
        limit_um -> Nullable<BigInt>,
        fitted_on -> Date,
        retired_on -> Nullable<Date>,
        used_mm -> BigInt,
        cost_cents -> Nullable<BigInt>,
        booked_cents -> BigInt,
        spread_cents -> BigInt,
        spread_over -> BigInt,
        spread_used -> BigInt,
        follows_id -> Nullable<BigInt>,
        retired_why -> Nullable<Text>,
    }
}

diesel::table! {
    materials (id) {
        id -> BigInt,
        site_id -> BigInt,
        code -> Text,
        name -> Text,
        unit -> Text,
        pack_name -> Text,
        pack_quantity -> BigInt,
        on_hand -> BigInt,
        value_cents -> BigInt,
        version -> BigInt,
        label -> Nullable<Text>,
    }
}

diesel::table! {
    condition_observations (id) {
        id -> BigInt,
        site_id -> BigInt,
        court_id -> BigInt,
        observed_at -> Timestamp,
        condition -> Text,
        note -> Nullable<Text>,
        user_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    weather_readings (id) {
        id -> BigInt,
        site_id -> BigInt,
        read_at -> Timestamp,
        kind -> Text,
        temp_mc -> Nullable<BigInt>,
        humidity_permille -> Nullable<BigInt>,
        wind_mmps -> Nullable<BigInt>,
        gust_mmps -> Nullable<BigInt>,
        rain_um -> Nullable<BigInt>,
        solar_w_m2 -> Nullable<BigInt>,
        frost -> Nullable<Bool>,
    }
}

diesel::table! {
    inspections (id) {
        id -> BigInt,
        site_id -> BigInt,
        court_id -> BigInt,
        seen_at -> Timestamp,
        firmness -> Nullable<Text>,
        moisture -> Nullable<Text>,
        standing_water -> Nullable<Bool>,
        frozen -> Nullable<Bool>,
        low_spots -> Nullable<Text>,
        algae -> Nullable<Bool>,
        hardpan -> Nullable<Bool>,
        baselines_packed -> Nullable<Bool>,
        newly_dressed -> Nullable<Bool>,
        note -> Nullable<Text>,
        user_id -> BigInt,
        leaves -> Nullable<Bool>,
    }
}

diesel::table! {
    plan_runs (id) {
        id -> BigInt,
        site_id -> BigInt,
        work_date -> Date,
        state -> Text,
        seed -> BigInt,
        limit_s -> BigInt,
        inputs_digest -> Text,
        problem -> Text,
        plan -> Nullable<Text>,
        cost_cents -> Nullable<BigInt>,
        lower_bound_cents -> Nullable<BigInt>,
        stop_asked -> Bool,
        message -> Nullable<Text>,
        requested_by -> Nullable<BigInt>,
        created_at -> Timestamp,
        started_at -> Nullable<Timestamp>,
        ended_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    day_plans (id) {
        id -> BigInt,
        site_id -> BigInt,
        work_date -> Date,
        state -> Text,
        plan_run_id -> BigInt,
        cost_cents -> BigInt,
        lower_bound_cents -> BigInt,
        created_at -> Timestamp,
        issued_at -> Nullable<Timestamp>,
        version -> BigInt,
    }
}

diesel::table! {
    rounds (id) {
        id -> BigInt,
        site_id -> BigInt,
        day_plan_id -> BigInt,
        crew_id -> BigInt,
        shift_id -> BigInt,
        leaves_at -> Timestamp,
        returns_at -> Timestamp,
        kit -> Text,
        beginning -> Nullable<Text>,
    }
}

diesel::table! {
    work_orders (id) {
        id -> BigInt,
        site_id -> BigInt,
        day_plan_id -> BigInt,
        round_id -> BigInt,
        crew_id -> BigInt,
        work_date -> Date,
        court_id -> Nullable<BigInt>,
        bank_id -> Nullable<BigInt>,
        position -> BigInt,
        visit_key -> Text,
        kind -> Text,
        state -> Text,
        direction -> Nullable<Text>,
        groom_class -> Nullable<Text>,
        planned_start -> Timestamp,
        planned_end -> Timestamp,
        due_at -> Timestamp,
        started_at -> Nullable<Timestamp>,
        ended_at -> Nullable<Timestamp>,
        fit -> Nullable<Text>,
        fit_until -> Nullable<Timestamp>,
        fit_reason -> Nullable<Text>,
        undone_reason -> Nullable<Text>,
        undone_note -> Nullable<Text>,
        version -> BigInt,
        expected_end_at -> Nullable<Timestamp>,
        fit_hold_reason -> Nullable<Text>,
        follows_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    order_steps (id) {
        id -> BigInt,
        site_id -> BigInt,
        order_id -> BigInt,
        position -> BigInt,
        care_task_id -> BigInt,
        planned_s -> BigInt,
        done -> Nullable<Bool>,
        standard_s -> Nullable<BigInt>,
        alone_s -> Nullable<BigInt>,
    }
}

diesel::table! {
    times_taken (id) {
        id -> BigInt,
        site_id -> BigInt,
        order_id -> BigInt,
        court_id -> BigInt,
        work_date -> Date,
        work -> Text,
        standard_s -> BigInt,
        taken_s -> BigInt,
        log_ratio -> BigInt,
    }
}

diesel::table! {
    order_tools (id) {
        id -> BigInt,
        site_id -> BigInt,
        order_id -> BigInt,
        tool_id -> BigInt,
        uses -> Nullable<BigInt>,
    }
}

diesel::table! {
    order_events (id) {
        id -> BigInt,
        site_id -> BigInt,
        seq -> BigInt,
        order_id -> BigInt,
        kind -> Text,
        happened_at -> Timestamp,
        learned_at -> Timestamp,
        user_id -> BigInt,
        data -> Text,
        client_key -> Nullable<Text>,
    }
}

diesel::table! {
    day_changes (id) {
        id -> BigInt,
        site_id -> BigInt,
        work_date -> Date,
        visit_key -> Text,
        kind -> Text,
        crew_id -> Nullable<BigInt>,
        start_at -> Nullable<Timestamp>,
        user_id -> BigInt,
        created_at -> Timestamp,
    }
}

diesel::table! {
    day_news (id) {
        id -> BigInt,
        site_id -> BigInt,
        work_date -> Date,
        kind -> Text,
        crew_id -> Nullable<BigInt>,
        person_id -> Nullable<BigInt>,
        from_at -> Timestamp,
        until_at -> Nullable<Timestamp>,
        user_id -> BigInt,
        created_at -> Timestamp,
    }
}

diesel::table! {
    day_replans (id) {
        id -> BigInt,
        site_id -> BigInt,
        work_date -> Date,
        day_plan_id -> BigInt,
        because -> Text,
        cost_before_cents -> BigInt,
        cost_cents -> BigInt,
        moves -> Text,
        user_id -> BigInt,
        created_at -> Timestamp,
    }
}

diesel::table! {
    unfitted_visits (id) {
        id -> BigInt,
        site_id -> BigInt,
        day_plan_id -> BigInt,
        court_id -> Nullable<BigInt>,
        bank_id -> Nullable<BigInt>,
        visit_key -> Text,
        title -> Text,
        reason -> Text,
        opens_at -> Timestamp,
        closes_at -> Timestamp,
        until_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    waterings (id) {
        id -> BigInt,
        site_id -> BigInt,
        day_plan_id -> BigInt,
        court_id -> BigInt,
        order_id -> Nullable<BigInt>,
        kind -> Text,
        starts_at -> Timestamp,
        ends_at -> Timestamp,
        flow_mlps -> BigInt,
        volume_ml -> BigInt,
        state -> Text,
        valve_id -> Nullable<BigInt>,
        cycle -> Nullable<BigInt>,
        real_ml -> Nullable<BigInt>,
        told_by -> Nullable<Text>,
        told_at -> Nullable<Timestamp>,
        booked_ml -> Nullable<BigInt>,
        again_of_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    valves (id) {
        id -> BigInt,
        site_id -> BigInt,
        bank_id -> BigInt,
        name -> Text,
        opened -> Text,
        flow_mlps -> BigInt,
        in_use -> Bool,
        version -> BigInt,
    }
}

diesel::table! {
    valve_courts (id) {
        id -> BigInt,
        site_id -> BigInt,
        valve_id -> BigInt,
        court_id -> BigInt,
    }
}

diesel::table! {
    water_rules (id) {
        id -> BigInt,
        site_id -> BigInt,
        bank_id -> Nullable<BigInt>,
        name -> Text,
        kind -> Text,
        weekdays -> Text,
        from_time -> Nullable<Text>,
        until_time -> Nullable<Text>,
        ml_a_day -> Nullable<BigInt>,
        version -> BigInt,
    }
}

diesel::table! {
    court_waters (id) {
        id -> BigInt,
        site_id -> BigInt,
        court_id -> BigInt,
        drain_s -> Nullable<BigInt>,
        level_target_mm -> Nullable<BigInt>,
        version -> BigInt,
    }
}

diesel::table! {
    water_needs (id) {
        id -> BigInt,
        site_id -> BigInt,
        day_plan_id -> BigInt,
        court_id -> BigInt,
        base_s -> BigInt,
        run_s -> BigInt,
        permille -> BigInt,
        why -> Text,
        wanted_ml -> BigInt,
        short_ml -> BigInt,
        short_why -> Nullable<Text>,
    }
}

diesel::table! {
    level_readings (id) {
        id -> BigInt,
        site_id -> BigInt,
        court_id -> BigInt,
        read_on -> Date,
        level_mm -> BigInt,
        changed_mm -> BigInt,
        note -> Nullable<Text>,
        user_id -> BigInt,
        booked_at -> Timestamp,
    }
}

diesel::table! {
    readings (id) {
        id -> BigInt,
        site_id -> BigInt,
        wear_part_id -> BigInt,
        measured_on -> Date,
        length_um -> BigInt,
        order_id -> Nullable<BigInt>,
        user_id -> Nullable<BigInt>,
        booked_at -> Timestamp,
        client_key -> Nullable<Text>,
        taken_back_at -> Nullable<Timestamp>,
        used_mm -> BigInt,
        state -> Text,
        doubt -> Nullable<Text>,
    }
}

diesel::table! {
    part_supplies (id) {
        id -> BigInt,
        site_id -> BigInt,
        kind -> Text,
        tool_class_id -> Nullable<BigInt>,
        material_id -> Nullable<BigInt>,
        supplier -> Text,
        lead_days -> BigInt,
        cover_days -> BigInt,
        life_days -> Nullable<BigInt>,
        version -> BigInt,
    }
}

diesel::table! {
    part_uses (id) {
        id -> BigInt,
        site_id -> BigInt,
        seq -> BigInt,
        wear_part_id -> BigInt,
        court_id -> Nullable<BigInt>,
        order_id -> Nullable<BigInt>,
        work_date -> Date,
        use_mm -> BigInt,
        weighed_mm -> BigInt,
        note -> Nullable<Text>,
        user_id -> Nullable<BigInt>,
        booked_at -> Timestamp,
        reverses_id -> Nullable<BigInt>,
        client_key -> Nullable<Text>,
        tightenings -> BigInt,
    }
}

diesel::table! {
    reading_verdicts (id) {
        id -> BigInt,
        site_id -> BigInt,
        seq -> BigInt,
        reading_id -> BigInt,
        verdict -> Text,
        why -> Nullable<Text>,
        user_id -> Nullable<BigInt>,
        decided_at -> Timestamp,
        client_key -> Nullable<Text>,
    }
}

diesel::table! {
    hours_entries (id) {
        id -> BigInt,
        site_id -> BigInt,
        seq -> BigInt,
        person_id -> BigInt,
        order_id -> Nullable<BigInt>,
        kind -> Text,
        starts_at -> Timestamp,
        ends_at -> Timestamp,
        work_date -> Date,
        booked_at -> Timestamp,
        source_kind -> Text,
        source_id -> BigInt,
        reverses_id -> Nullable<BigInt>,
        period_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    stock_moves (id) {
        id -> BigInt,
        site_id -> BigInt,
        seq -> BigInt,
        material_id -> BigInt,
        order_id -> Nullable<BigInt>,
        kind -> Text,
        quantity -> BigInt,
        value_cents -> BigInt,
        beyond_stock -> Bool,
        work_date -> Date,
        booked_at -> Timestamp,
        source_kind -> Text,
        source_id -> BigInt,
        reverses_id -> Nullable<BigInt>,
        period_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    cost_lines (id) {
        id -> BigInt,
        site_id -> BigInt,
        seq -> BigInt,
        court_id -> BigInt,
        order_id -> Nullable<BigInt>,
        kind -> Text,
        cents -> BigInt,
        person_id -> Nullable<BigInt>,
        material_id -> Nullable<BigInt>,
        tool_id -> Nullable<BigInt>,
        pay_week -> Nullable<Date>,
        work_date -> Date,
        booked_at -> Timestamp,
        source_kind -> Text,
        source_id -> BigInt,
        reverses_id -> Nullable<BigInt>,
        period_id -> Nullable<BigInt>,
        wear_part_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    running_totals (id) {
        id -> BigInt,
        site_id -> BigInt,
        kind -> Text,
        subject_id -> BigInt,
        period -> Text,
        used -> BigInt,
        booked_cents -> BigInt,
    }
}

diesel::table! {
    report_subscribers (id) {
        id -> BigInt,
        site_id -> BigInt,
        email -> Text,
        name -> Text,
        language -> Text,
    }
}

diesel::table! {
    week_reports (id) {
        id -> BigInt,
        site_id -> BigInt,
        iso_week -> Text,
        revision -> BigInt,
        subject -> Text,
        text_body -> Text,
        html_body -> Text,
        figures -> Text,
        created_at -> Timestamp,
        sent_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    jobs (id) {
        id -> BigInt,
        site_id -> Nullable<BigInt>,
        kind -> Text,
        unique_key -> Nullable<Text>,
        payload -> Text,
        state -> Text,
        run_at -> Timestamp,
        lease_until -> Nullable<Timestamp>,
        attempts -> BigInt,
        last_error -> Nullable<Text>,
        created_at -> Timestamp,
        ended_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    defects (id) {
        id -> BigInt,
        site_id -> BigInt,
        court_id -> BigInt,
        order_id -> Nullable<BigInt>,
        kind -> Text,
        x_mm -> Nullable<BigInt>,
        y_mm -> Nullable<BigInt>,
        note -> Nullable<Text>,
        seen_at -> Timestamp,
        learned_at -> Timestamp,
        person_id -> Nullable<BigInt>,
        user_id -> BigInt,
        client_key -> Text,
        mend_order_id -> Nullable<BigInt>,
        mended_at -> Nullable<Timestamp>,
    }
}

diesel::table! {
    order_notes (id) {
        id -> BigInt,
        site_id -> BigInt,
        order_id -> BigInt,
        kind -> Text,
        text -> Text,
        data -> Text,
        person_id -> Nullable<BigInt>,
        user_id -> BigInt,
        happened_at -> Timestamp,
        learned_at -> Timestamp,
        client_key -> Nullable<Text>,
        seen_at -> Nullable<Timestamp>,
        seen_by -> Nullable<BigInt>,
    }
}

diesel::table! {
    order_rechecks (id) {
        id -> BigInt,
        site_id -> BigInt,
        seq -> BigInt,
        order_id -> BigInt,
        grade -> Text,
        note -> Nullable<Text>,
        user_id -> BigInt,
        happened_at -> Timestamp,
        learned_at -> Timestamp,
        client_key -> Text,
    }
}

diesel::table! {
    files (id) {
        id -> BigInt,
        site_id -> BigInt,
        sha256 -> Text,
        media_type -> Text,
        bytes -> BigInt,
        place -> Text,
        created_at -> Timestamp,
    }
}

diesel::table! {
    file_contents (id) {
        id -> BigInt,
        site_id -> BigInt,
        file_id -> BigInt,
        content -> Binary,
    }
}

diesel::table! {
    incidents (id) {
        id -> BigInt,
        site_id -> BigInt,
        kind -> Text,
        what -> Text,
        court_id -> Nullable<BigInt>,
        place -> Nullable<Text>,
        anyone_hurt -> Text,
        who_hurt -> Nullable<Text>,
        person_id -> Nullable<BigInt>,
        note -> Nullable<Text>,
        happened_at -> Timestamp,
        learned_at -> Timestamp,
        user_id -> BigInt,
        client_key -> Text,
        opened_at -> Nullable<Timestamp>,
        opened_by -> Nullable<BigInt>,
    }
}

diesel::table! {
    incident_readers (id) {
        id -> BigInt,
        site_id -> BigInt,
        user_id -> BigInt,
        named_at -> Timestamp,
        named_by -> BigInt,
    }
}

diesel::table! {
    alone_events (id) {
        id -> BigInt,
        site_id -> BigInt,
        seq -> BigInt,
        watch_key -> Text,
        event -> Text,
        person_id -> Nullable<BigInt>,
        crew_id -> Nullable<BigInt>,
        court_id -> Nullable<BigInt>,
        happened_at -> Timestamp,
        learned_at -> Timestamp,
        user_id -> BigInt,
        client_key -> Text,
    }
}

diesel::table! {
    attendance_events (id) {
        id -> BigInt,
        site_id -> BigInt,
        seq -> BigInt,
        person_id -> BigInt,
        kind -> Text,
        crew_id -> Nullable<BigInt>,
        happened_at -> Timestamp,
        learned_at -> Timestamp,
        user_id -> BigInt,
        client_key -> Text,
    }
}

diesel::table! {
    shift_changes (id) {
        id -> BigInt,
        site_id -> BigInt,
        seq -> BigInt,
        shift_id -> BigInt,
        person_id -> BigInt,
        joins -> Bool,
        happened_at -> Timestamp,
        learned_at -> Timestamp,
        user_id -> BigInt,
        client_key -> Text,
    }
}

diesel::table! {
    tool_checks (id) {
        id -> BigInt,
        site_id -> BigInt,
        tool_id -> Nullable<BigInt>,
        court_id -> Nullable<BigInt>,
        person_id -> Nullable<BigInt>,
        happened_at -> Timestamp,
        learned_at -> Timestamp,
        user_id -> BigInt,
        client_key -> Text,
    }
}

diesel::table! {
    tool_check_readings (id) {
        id -> BigInt,
        site_id -> BigInt,
        tool_check_id -> BigInt,
        reading_id -> BigInt,
        points -> Text,
        read_in -> Text,
    }
}

diesel::table! {
    net_checks (id) {
        id -> BigInt,
        site_id -> BigInt,
        seq -> BigInt,
        tool_check_id -> BigInt,
        court_id -> BigInt,
        height_um -> BigInt,
        strap_um -> Nullable<BigInt>,
        read_in -> Text,
        happened_at -> Timestamp,
    }
}

diesel::table! {
    eye_checks (id) {
        id -> BigInt,
        site_id -> BigInt,
        seq -> BigInt,
        tool_check_id -> BigInt,
        wear_part_id -> BigInt,
        verdict -> Text,
        happened_at -> Timestamp,
    }
}

diesel::table! {
    site_words (id) {
        id -> BigInt,
        site_id -> BigInt,
        language -> Text,
        subject_kind -> Text,
        subject -> Text,
        words -> Text,
        picture_id -> Nullable<BigInt>,
        version -> BigInt,
    }
}

diesel::table! {
    pictures (id) {
        id -> BigInt,
        site_id -> BigInt,
        kind -> Text,
        subject_kind -> Nullable<Text>,
        subject_id -> Nullable<BigInt>,
        of_key -> Nullable<Text>,
        file_id -> Nullable<BigInt>,
        thumbnail_file_id -> Nullable<BigInt>,
        width_px -> Nullable<BigInt>,
        height_px -> Nullable<BigInt>,
        happened_at -> Timestamp,
        learned_at -> Timestamp,
        user_id -> BigInt,
        client_key -> Text,
        removed_at -> Nullable<Timestamp>,
        removed_by -> Nullable<BigInt>,
        removed_why -> Nullable<Text>,
    }
}

diesel::table! {
    care_told (id) {
        id -> BigInt,
        site_id -> BigInt,
        care_task_id -> BigInt,
        court_id -> Nullable<BigInt>,
        bank_id -> Nullable<BigInt>,
        done_on -> Nullable<Date>,
        told_at -> Timestamp,
        user_id -> BigInt,
    }
}

diesel::table! {
    rests (id) {
        id -> BigInt,
        site_id -> BigInt,
        order_id -> BigInt,
        court_id -> BigInt,
        rest_s -> BigInt,
        starts_at -> Timestamp,
        ends_at -> Timestamp,
        reason -> Text,
    }
}

diesel::table! {
    tournament_courts (id) {
        id -> BigInt,
        site_id -> BigInt,
        work_date -> Date,
        court_id -> BigInt,
        reopens -> BigInt,
    }
}

diesel::table! {
    treatments (id) {
        id -> BigInt,
        site_id -> BigInt,
        seq -> BigInt,
        order_id -> BigInt,
        person_id -> BigInt,
        product -> Text,
        lot -> Text,
        amount -> BigInt,
        unit -> Text,
        place -> Text,
        wind_mmps -> BigInt,
        applied_at -> Timestamp,
        booked_at -> Timestamp,
        wind_limit_mmps -> Nullable<BigInt>,
        reverses_id -> Nullable<BigInt>,
    }
}

diesel::table! {
    skill_dates (id) {
        id -> BigInt,
        site_id -> BigInt,
        person_id -> BigInt,
        skill -> Text,
        valid_until -> Date,
    }
}

diesel::table! {
    stop_events (id) {
        id -> BigInt,
        site_id -> BigInt,
        seq -> BigInt,
        stop_id -> Nullable<BigInt>,
        kind -> Text,
        event -> Text,
        crew_id -> Nullable<BigInt>,
        happened_at -> Timestamp,
        learned_at -> Timestamp,
        user_id -> BigInt,
        client_key -> Text,
    }
}

diesel::table! {
    holds (id) {
        id -> BigInt,
        site_id -> BigInt,
        court_id -> BigInt,
        order_id -> Nullable<BigInt>,
        reason -> Text,
        note -> Nullable<Text>,
        held_at -> Timestamp,
        learned_at -> Timestamp,
        held_by -> BigInt,
        client_key -> Nullable<Text>,
        released_at -> Nullable<Timestamp>,
        released_by -> Nullable<BigInt>,
        release_note -> Nullable<Text>,
    }
}

diesel::table! {
    tablet_events (id) {
        id -> BigInt,
        site_id -> BigInt,
        client_key -> Text,
        user_id -> BigInt,
        person_id -> Nullable<BigInt>,
        crew_id -> Nullable<BigInt>,
        order_id -> Nullable<BigInt>,
        kind -> Text,
        told -> Text,
        device_at -> Timestamp,
        clock_off_ms -> BigInt,
        happened_at -> Timestamp,
        learned_at -> Timestamp,
        mends_key -> Nullable<Text>,
    }
}

diesel::table! {
    tablet_answers (id) {
        id -> BigInt,
        site_id -> BigInt,
        tablet_event_id -> BigInt,
        outcome -> Text,
        why -> Text,
        answered_at -> Timestamp,
    }
}

diesel::joinable!(memberships -> users (user_id));
diesel::joinable!(memberships -> sites (site_id));
diesel::joinable!(sessions -> users (user_id));
diesel::joinable!(second_factors -> users (user_id));
diesel::joinable!(recovery_codes -> users (user_id));
diesel::joinable!(single_use_secrets -> users (user_id));
diesel::joinable!(devices -> users (user_id));
diesel::joinable!(api_keys -> users (user_id));
diesel::joinable!(api_key_sites -> api_keys (api_key_id));
diesel::joinable!(audit_events -> users (actor_user_id));
diesel::joinable!(audit_touches -> audit_events (audit_event_id));
diesel::joinable!(audit_words -> audit_events (audit_event_id));
diesel::joinable!(idempotency_keys -> users (user_id));
diesel::joinable!(courts -> banks (bank_id));
diesel::joinable!(closures -> courts (court_id));
diesel::joinable!(play_sessions -> courts (court_id));
diesel::joinable!(people -> users (user_id));
diesel::joinable!(pay_rates -> people (person_id));
diesel::joinable!(crew_members -> crews (crew_id));
diesel::joinable!(crew_members -> people (person_id));
diesel::joinable!(shifts -> crews (crew_id));
diesel::joinable!(shift_people -> shifts (shift_id));
diesel::joinable!(shift_people -> people (person_id));
diesel::joinable!(tools -> tool_classes (tool_class_id));
diesel::joinable!(wear_parts -> tools (tool_id));
diesel::joinable!(wear_parts -> courts (court_id));
diesel::joinable!(condition_observations -> courts (court_id));
diesel::joinable!(condition_observations -> users (user_id));
diesel::joinable!(plan_runs -> users (requested_by));
diesel::joinable!(day_plans -> plan_runs (plan_run_id));
diesel::joinable!(rounds -> day_plans (day_plan_id));
diesel::joinable!(rounds -> crews (crew_id));
diesel::joinable!(rounds -> shifts (shift_id));
diesel::joinable!(work_orders -> day_plans (day_plan_id));
diesel::joinable!(work_orders -> rounds (round_id));
diesel::joinable!(work_orders -> crews (crew_id));
diesel::joinable!(work_orders -> courts (court_id));
diesel::joinable!(work_orders -> banks (bank_id));
diesel::joinable!(order_steps -> work_orders (order_id));
diesel::joinable!(order_steps -> care_tasks (care_task_id));
diesel::joinable!(times_taken -> work_orders (order_id));
diesel::joinable!(times_taken -> courts (court_id));
diesel::joinable!(order_tools -> work_orders (order_id));
diesel::joinable!(order_tools -> tools (tool_id));
diesel::joinable!(order_events -> work_orders (order_id));
diesel::joinable!(order_events -> users (user_id));
diesel::joinable!(part_uses -> wear_parts (wear_part_id));
diesel::joinable!(part_uses -> work_orders (order_id));
diesel::joinable!(reading_verdicts -> readings (reading_id));
diesel::joinable!(unfitted_visits -> day_plans (day_plan_id));
diesel::joinable!(unfitted_visits -> courts (court_id));
diesel::joinable!(unfitted_visits -> banks (bank_id));
diesel::joinable!(waterings -> day_plans (day_plan_id));
diesel::joinable!(waterings -> courts (court_id));
diesel::joinable!(waterings -> work_orders (order_id));
diesel::joinable!(waterings -> valves (valve_id));
diesel::joinable!(valves -> banks (bank_id));
diesel::joinable!(valve_courts -> valves (valve_id));
diesel::joinable!(valve_courts -> courts (court_id));
diesel::joinable!(water_rules -> banks (bank_id));
diesel::joinable!(court_waters -> courts (court_id));
diesel::joinable!(water_needs -> day_plans (day_plan_id));
diesel::joinable!(water_needs -> courts (court_id));
diesel::joinable!(level_readings -> courts (court_id));
diesel::joinable!(readings -> wear_parts (wear_part_id));
diesel::joinable!(readings -> work_orders (order_id));
diesel::joinable!(readings -> users (user_id));
diesel::joinable!(hours_entries -> people (person_id));
diesel::joinable!(hours_entries -> work_orders (order_id));
diesel::joinable!(stock_moves -> materials (material_id));
diesel::joinable!(stock_moves -> work_orders (order_id));
diesel::joinable!(cost_lines -> courts (court_id));
diesel::joinable!(cost_lines -> work_orders (order_id));
diesel::joinable!(cost_lines -> people (person_id));
diesel::joinable!(cost_lines -> materials (material_id));
diesel::joinable!(cost_lines -> tools (tool_id));
diesel::joinable!(stop_events -> crews (crew_id));
diesel::joinable!(stop_events -> users (user_id));
diesel::joinable!(day_replans -> users (user_id));
diesel::joinable!(holds -> courts (court_id));
diesel::joinable!(holds -> work_orders (order_id));
diesel::joinable!(defects -> courts (court_id));
diesel::joinable!(order_notes -> work_orders (order_id));
diesel::joinable!(order_rechecks -> users (user_id));
diesel::joinable!(jobs -> sites (site_id));
diesel::joinable!(care_told -> care_tasks (care_task_id));
diesel::joinable!(rests -> work_orders (order_id));
diesel::joinable!(treatments -> work_orders (order_id));
diesel::joinable!(treatments -> people (person_id));
diesel::joinable!(skill_dates -> people (person_id));
diesel::joinable!(file_contents -> files (file_id));
diesel::joinable!(pictures -> files (file_id));
diesel::joinable!(incidents -> courts (court_id));
diesel::joinable!(alone_events -> people (person_id));
diesel::joinable!(attendance_events -> people (person_id));
diesel::joinable!(shift_changes -> shifts (shift_id));
diesel::joinable!(eye_checks -> wear_parts (wear_part_id));
diesel::joinable!(alone_events -> courts (court_id));

diesel::allow_tables_to_appear_in_same_query!(
    sites,
    site_head,
    users,
    memberships,
    sessions,
    sign_in_tries,
    single_use_secrets,
    second_factors,
    recovery_codes,
    devices,
    api_keys,
    api_key_sites,
    audit_words,
    settings,
    audit_events,
    audit_touches,
    idempotency_keys,
    banks,
    courts,
    closures,
    play_sessions,
    calendars,
    calendar_events,
    calendar_changes,
    care_tasks,
    care_told,
    rests,
    tournament_courts,
    treatments,
    skill_dates,
    people,
    pay_rates,
    crews,
    crew_members,
    shifts,
    shift_people,
    tool_classes,
    tools,
    wear_parts,
    materials,
    condition_observations,
    weather_readings,
    inspections,
    plan_runs,
    day_changes,
    day_news,
    day_replans,
    stop_events,
    holds,
    day_plans,
    rounds,
    work_orders,
    order_steps,
    times_taken,
    order_tools,
    order_events,
    tablet_events,
    tablet_answers,
    unfitted_visits,
    waterings,
    valves,
    valve_courts,
    water_rules,
    court_waters,
    water_needs,
    level_readings,
    readings,
    part_supplies,
    part_uses,
    reading_verdicts,
    hours_entries,
    stock_moves,
    cost_lines,
    running_totals,
    report_subscribers,
    week_reports,
    defects,
    order_notes,
    order_rechecks,
    jobs,
    files,
    file_contents,
    pictures,
    incidents,
    incident_readers,
    alone_events,
    attendance_events,
    shift_changes,
    tool_checks,
    tool_check_readings,
    eye_checks,
    net_checks,
    site_words,
);
