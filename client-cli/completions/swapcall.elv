
use builtin;
use str;

set edit:completion:arg-completer[swapcall] = {|@words|
    fn spaces {|n|
        builtin:repeat $n ' ' | str:join ''
    }
    fn cand {|text desc|
        edit:complex-candidate $text &display=$text' '(spaces (- 14 (wcswidth $text)))$desc
    }
    var command = 'swapcall'
    for word $words[1..-1] {
        if (str:has-prefix $word '-') {
            break
        }
        set command = $command';'$word
    }
    var completions = [
        &'swapcall'= {
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
            cand -V 'Print version'
            cand --version 'Print version'
            cand report 'Report what you read off a unit''s display'
            cand watch 'Report on a period from what this computer can read'
            cand board 'Show the fleet, live'
            cand calls 'List the calls'
            cand claim 'Take a call: you are on the way'
            cand release 'Give a call back'
            cand done 'Say that a call is done'
            cand undo 'Take back that a call is done, within 30 seconds'
            cand invite 'Make a code with which somebody comes in, once'
            cand join 'Come in with a code: writes the token and the hub''s address to the configuration'
            cand find 'List the hubs that announce themselves on this network'
            cand fleet 'Show every unit, once'
            cand unit 'Show one unit'
            cand packs 'List the packs of the kit: which are ready, and where the others are'
            cand pack 'Show a pack and what was learned of it, or say where it is and how full'
            cand bays 'List the bays of the chargers: what is in them, and when it is ready'
            cand bay 'Show a bay, or say what is in it and how full'
            cand rotation 'Look ahead: whether the packs last, when they run short, how short, and what would cure it'
            cand cards 'List the cards of the kit: which are blank, and where the others are'
            cand card 'Show a card, or say where it is and what is on it'
            cand kit 'Say before a show whether the kit lasts, what fails first, and what would mend it'
            cand offload 'Copy a card to several places, read every copy back, and say whether the card is safe'
            cand history 'Show a unit''s past'
            cand forecasts 'Show how good a unit''s forecasts were: as they were made, with what then happened'
            cand put-unit 'Say what is known about a unit before it reports'
            cand limits 'Show or set lead times, margins and reminder times'
            cand rundown 'Show or set the running order: when units roll, are held, or have a break'
            cand replay 'Post a recorded log, in real or compressed time'
            cand send 'Send what waits in the spool, now'
            cand status 'Show what waits in the spool, and whether the hub answers'
            cand doctor 'Check everything a cart needs: configuration, hub, token, clock, spool and sources'
            cand man 'Print the manual, or the page of one command'
            cand completions 'Print completions for a shell'
            cand help 'Print this message or the help of the given subcommand(s)'
        }
        &'swapcall;report'= {
            cand -b 'What the gauge shows, 0 to 100'
            cand --battery 'What the gauge shows, 0 to 100'
            cand --step 'The gauge''s resolution in percent: 1, 5, 25'
            cand --pack 'Label of the pack'
            cand --celsius 'Pack temperature in degrees Celsius'
            cand --volts 'Pack voltage'
            cand --card 'A card: A=40, A=51.2/128GB, A:C12=40; may be repeated'
            cand --slot-mode 'How the slots work together: single, relay, simultaneous'
            cand --bit-rate 'Bit rate in Mb/s'
            cand -m 'What the camera is doing: rec, standby, off'
            cand --mode 'What the camera is doing: rec, standby, off'
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --external 'On external power'
            cand --as-cart 'Say that a program read these values, not a person'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;watch'= {
            cand --every 'How often to look and report'
            cand --power-supply 'Read this computer''s battery'
            cand --mount 'The folder a card is mounted on, A=/media/card or, with its label, A:C12=/media/card; may be repeated'
            cand --mounts-under 'Every card that is mounted below a folder, as slots A, B …'
            cand --http 'A device that answers with JSON; the report''s own form, unless --http-map says where the values stand'
            cand --http-map 'Where a value stands, by JSON Pointer: battery=/power/percent, mode=/rec, A.used_percent=/cards/0/fill; may be repeated'
            cand --ptp 'A camera on the network by PTP/IP: its battery and its cards'
            cand --command 'A shell line that prints a report as JSON; its last object is taken'
            cand -m 'What the camera is doing, where it is not seen from the cards: rec, standby, off'
            cand --mode 'What the camera is doing, where it is not seen from the cards: rec, standby, off'
            cand --pack 'Label of the pack'
            cand --slot-mode 'How the slots work together: single, relay, simultaneous'
            cand --bit-rate 'Bit rate in Mb/s'
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --typed 'Ask the person at the terminal for the values, again and again'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;board'= {
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --plain 'One line per change, for logs and screen readers'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;calls'= {
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --all 'Ended calls as well'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;claim'= {
            cand --as 'Claim in another''s name (leads and owners)'
            cand --note 'A word for the others'
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;release'= {
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;done'= {
            cand --note 'A word for the others'
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;undo'= {
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;invite'= {
            cand --role 'What the guest may do: less than you may'
            cand --unit 'For a cart: the units it may report for; every unit when left out'
            cand --minutes 'How long the code works'
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;join'= {
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;find'= {
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;fleet'= {
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;unit'= {
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;packs'= {
            cand --from 'Register all that stand in this table (CSV); - is standard input'
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;pack'= {
            cand --wh 'What it holds by its label, in watt-hours'
            cand --percent 'How full it is'
            cand --bay 'In this bay of a charger'
            cand --unit 'On this unit'
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --ready 'Charged, where runners fetch packs'
            cand --spent 'Taken off, waiting for a bay'
            cand --out 'Not to be used: swollen, dropped, lost'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;bays'= {
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;bay'= {
            cand --pack 'The pack that is in it from now on'
            cand --percent 'How full the pack in it is'
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --empty 'Its pack has come out'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;rotation'= {
            cand --hours 'How far to look, 0.5 to 24'
            cand --bays 'Charger bays that are there; those that are known, when left out'
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;cards'= {
            cand --from 'Register all that stand in this table (CSV); - is standard input'
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;card'= {
            cand --capacity 'Its size, such as 128GB'
            cand --in 'In this slot of a unit'
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --blank 'Nothing on it that anybody wants'
            cand --holding 'Out of the camera, with footage that is nowhere else'
            cand --copying 'Being copied'
            cand --safe 'Copied as often as wanted, and each copy verified'
            cand --out 'Not to be used'
            cand --despite-footage 'Let go of footage that is not safe: with --blank'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;kit'= {
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --example 'Print a file to begin with'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;offload'= {
            cand --card 'Label of the card: the hub is told that it is being copied, and what came of it'
            cand --copies 'How many copies have to be proved before the card is safe'
            cand --hash 'How to hash; several with commas'
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'swapcall;history'= {
            cand --from 'Start: a time (RFC 3339), or how long ago (2h)'
            cand --to 'End: a time (RFC 3339), or how long ago'
            cand --step 'Seconds per point; every reading when left out'
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;forecasts'= {
            cand --from 'Start: a time (RFC 3339), or how long ago (2h)'
            cand --to 'End: a time (RFC 3339), or how long ago'
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;put-unit'= {
            cand --position 'Where it stands'
            cand --group 'Coverage group'
            cand --walk-s 'Seconds to walk from base'
            cand --gauge 'How the gauge works'
            cand --gauge-step 'The gauge''s resolution in percent'
            cand --pack-wh 'Energy of the usual pack in watt-hours'
            cand --recording-w 'Power drawn while recording in watts'
            cand --standby-w 'Power drawn in standby in watts'
            cand --bit-rate 'Usual bit rate in Mb/s'
            cand --interval-s 'Seconds between reports'
            cand --display 'Display that carries its tally, as the vision mixer counts: INDEX, or SCREEN:INDEX'
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --replace 'Forget what is not named here'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'swapcall;limits'= {
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
            cand set 'Replace what was set by what a file says'
            cand help 'Print this message or the help of the given subcommand(s)'
        }
        &'swapcall;limits;set'= {
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;limits;help'= {
            cand set 'Replace what was set by what a file says'
            cand help 'Print this message or the help of the given subcommand(s)'
        }
        &'swapcall;limits;help;set'= {
        }
        &'swapcall;limits;help;help'= {
        }
        &'swapcall;rundown'= {
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
            cand show 'Show the windows, in order of their start'
            cand set 'Replace the rundown by what a file says'
            cand help 'Print this message or the help of the given subcommand(s)'
        }
        &'swapcall;rundown;show'= {
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;rundown;set'= {
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --force 'Replace the rundown even if somebody else changed it since the file was read'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;rundown;help'= {
            cand show 'Show the windows, in order of their start'
            cand set 'Replace the rundown by what a file says'
            cand help 'Print this message or the help of the given subcommand(s)'
        }
        &'swapcall;rundown;help;show'= {
        }
        &'swapcall;rundown;help;set'= {
        }
        &'swapcall;rundown;help;help'= {
        }
        &'swapcall;replay'= {
            cand --unit 'Callsign to report for; needed for CSV'
            cand --gauge 'The gauge''s column'
            cand --speed 'How fast: a factor, or max'
            cand --pack 'Label of the pack'
            cand --step 'The gauge''s resolution, where the column''s name does not say'
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;send'= {
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;status'= {
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;doctor'= {
            cand --power-supply 'Read this computer''s battery'
            cand --mount 'The folder a card is mounted on, A=/media/card or, with its label, A:C12=/media/card; may be repeated'
            cand --mounts-under 'Every card that is mounted below a folder, as slots A, B …'
            cand --http 'A device that answers with JSON; the report''s own form, unless --http-map says where the values stand'
            cand --http-map 'Where a value stands, by JSON Pointer: battery=/power/percent, mode=/rec, A.used_percent=/cards/0/fill; may be repeated'
            cand --ptp 'A camera on the network by PTP/IP: its battery and its cards'
            cand --command 'A shell line that prints a report as JSON; its last object is taken'
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;man'= {
            cand --dir 'Write every page into this folder instead'
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help'
            cand --help 'Print help'
        }
        &'swapcall;completions'= {
            cand --hub 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]'
            cand --token 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]'
            cand --token-file 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]'
            cand --hub-fingerprint 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]'
            cand --hub-ca 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system''s]'
            cand --spool 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]'
            cand --spool-size 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]'
            cand --config 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]'
            cand --json 'Answer in JSON: one document, or one to a line where there are many'
            cand -h 'Print help (see more with ''--help'')'
            cand --help 'Print help (see more with ''--help'')'
        }
        &'swapcall;help'= {
            cand report 'Report what you read off a unit''s display'
            cand watch 'Report on a period from what this computer can read'
            cand board 'Show the fleet, live'
            cand calls 'List the calls'
            cand claim 'Take a call: you are on the way'
            cand release 'Give a call back'
            cand done 'Say that a call is done'
            cand undo 'Take back that a call is done, within 30 seconds'
            cand invite 'Make a code with which somebody comes in, once'
            cand join 'Come in with a code: writes the token and the hub''s address to the configuration'
            cand find 'List the hubs that announce themselves on this network'
            cand fleet 'Show every unit, once'
            cand unit 'Show one unit'
            cand packs 'List the packs of the kit: which are ready, and where the others are'
            cand pack 'Show a pack and what was learned of it, or say where it is and how full'
            cand bays 'List the bays of the chargers: what is in them, and when it is ready'
            cand bay 'Show a bay, or say what is in it and how full'
            cand rotation 'Look ahead: whether the packs last, when they run short, how short, and what would cure it'
            cand cards 'List the cards of the kit: which are blank, and where the others are'
            cand card 'Show a card, or say where it is and what is on it'
            cand kit 'Say before a show whether the kit lasts, what fails first, and what would mend it'
            cand offload 'Copy a card to several places, read every copy back, and say whether the card is safe'
            cand history 'Show a unit''s past'
            cand forecasts 'Show how good a unit''s forecasts were: as they were made, with what then happened'
            cand put-unit 'Say what is known about a unit before it reports'
            cand limits 'Show or set lead times, margins and reminder times'
            cand rundown 'Show or set the running order: when units roll, are held, or have a break'
            cand replay 'Post a recorded log, in real or compressed time'
            cand send 'Send what waits in the spool, now'
            cand status 'Show what waits in the spool, and whether the hub answers'
            cand doctor 'Check everything a cart needs: configuration, hub, token, clock, spool and sources'
            cand man 'Print the manual, or the page of one command'
            cand completions 'Print completions for a shell'
            cand help 'Print this message or the help of the given subcommand(s)'
        }
        &'swapcall;help;report'= {
        }
        &'swapcall;help;watch'= {
        }
        &'swapcall;help;board'= {
        }
        &'swapcall;help;calls'= {
        }
        &'swapcall;help;claim'= {
        }
        &'swapcall;help;release'= {
        }
        &'swapcall;help;done'= {
        }
        &'swapcall;help;undo'= {
        }
        &'swapcall;help;invite'= {
        }
        &'swapcall;help;join'= {
        }
        &'swapcall;help;find'= {
        }
        &'swapcall;help;fleet'= {
        }
        &'swapcall;help;unit'= {
        }
        &'swapcall;help;packs'= {
        }
        &'swapcall;help;pack'= {
        }
        &'swapcall;help;bays'= {
        }
        &'swapcall;help;bay'= {
        }
        &'swapcall;help;rotation'= {
        }
        &'swapcall;help;cards'= {
        }
        &'swapcall;help;card'= {
        }
        &'swapcall;help;kit'= {
        }
        &'swapcall;help;offload'= {
        }
        &'swapcall;help;history'= {
        }
        &'swapcall;help;forecasts'= {
        }
        &'swapcall;help;put-unit'= {
        }
        &'swapcall;help;limits'= {
            cand set 'Replace what was set by what a file says'
        }
        &'swapcall;help;limits;set'= {
        }
        &'swapcall;help;rundown'= {
            cand show 'Show the windows, in order of their start'
            cand set 'Replace the rundown by what a file says'
        }
        &'swapcall;help;rundown;show'= {
        }
        &'swapcall;help;rundown;set'= {
        }
        &'swapcall;help;replay'= {
        }
        &'swapcall;help;send'= {
        }
        &'swapcall;help;status'= {
        }
        &'swapcall;help;doctor'= {
        }
        &'swapcall;help;man'= {
        }
        &'swapcall;help;completions'= {
        }
        &'swapcall;help;help'= {
        }
    ]
    $completions[$command]
}
