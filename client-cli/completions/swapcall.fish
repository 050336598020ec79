# Print an optspec for argparse to handle cmd's options that are independent of any subcommand.
function __fish_swapcall_global_optspecs
    string join \n hub= token= token-file= hub-fingerprint= hub-ca= spool= spool-size= config= json h/help V/version
end

function __fish_swapcall_needs_command
    # Figure out if the current invocation already has a command.
    set -l cmd (commandline -opc)
    set -e cmd[1]
    argparse -s (__fish_swapcall_global_optspecs) -- $cmd 2>/dev/null
    or return
    if set -q argv[1]
        # Also print the command, so this can be used to figure out what it is.
        echo $argv[1]
        return 1
    end
    return 0
end

function __fish_swapcall_using_subcommand
    set -l cmd (__fish_swapcall_needs_command)
    test -z "$cmd"
    and return 1
    contains -- $cmd[1] $argv
end

complete -c swapcall -n "__fish_swapcall_needs_command" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_needs_command" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_needs_command" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_needs_command" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_needs_command" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_needs_command" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_needs_command" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_needs_command" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_needs_command" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_needs_command" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_needs_command" -s V -l version -d 'Print version'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "report" -d 'Report what you read off a unit\'s display'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "watch" -d 'Report on a period from what this computer can read'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "board" -d 'Show the fleet, live'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "calls" -d 'List the calls'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "claim" -d 'Take a call: you are on the way'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "release" -d 'Give a call back'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "done" -d 'Say that a call is done'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "undo" -d 'Take back that a call is done, within 30 seconds'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "invite" -d 'Make a code with which somebody comes in, once'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "join" -d 'Come in with a code: writes the token and the hub\'s address to the configuration'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "find" -d 'List the hubs that announce themselves on this network'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "fleet" -d 'Show every unit, once'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "unit" -d 'Show one unit'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "packs" -d 'List the packs of the kit: which are ready, and where the others are'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "pack" -d 'Show a pack and what was learned of it, or say where it is and how full'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "bays" -d 'List the bays of the chargers: what is in them, and when it is ready'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "bay" -d 'Show a bay, or say what is in it and how full'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "rotation" -d 'Look ahead: whether the packs last, when they run short, how short, and what would cure it'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "cards" -d 'List the cards of the kit: which are blank, and where the others are'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "card" -d 'Show a card, or say where it is and what is on it'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "kit" -d 'Say before a show whether the kit lasts, what fails first, and what would mend it'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "offload" -d 'Copy a card to several places, read every copy back, and say whether the card is safe'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "history" -d 'Show a unit\'s past'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "forecasts" -d 'Show how good a unit\'s forecasts were: as they were made, with what then happened'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "put-unit" -d 'Say what is known about a unit before it reports'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "limits" -d 'Show or set lead times, margins and reminder times'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "rundown" -d 'Show or set the running order: when units roll, are held, or have a break'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "replay" -d 'Post a recorded log, in real or compressed time'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "send" -d 'Send what waits in the spool, now'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "status" -d 'Show what waits in the spool, and whether the hub answers'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "doctor" -d 'Check everything a cart needs: configuration, hub, token, clock, spool and sources'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "man" -d 'Print the manual, or the page of one command'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "completions" -d 'Print completions for a shell'
complete -c swapcall -n "__fish_swapcall_needs_command" -f -a "help" -d 'Print this message or the help of the given subcommand(s)'
complete -c swapcall -n "__fish_swapcall_using_subcommand report" -s b -l battery -d 'What the gauge shows, 0 to 100' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand report" -l step -d 'The gauge\'s resolution in percent: 1, 5, 25' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand report" -l pack -d 'Label of the pack' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand report" -l celsius -d 'Pack temperature in degrees Celsius' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand report" -l volts -d 'Pack voltage' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand report" -l card -d 'A card: A=40, A=51.2/128GB, A:C12=40; may be repeated' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand report" -l slot-mode -d 'How the slots work together: single, relay, simultaneous' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand report" -l bit-rate -d 'Bit rate in Mb/s' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand report" -s m -l mode -d 'What the camera is doing: rec, standby, off' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand report" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand report" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand report" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand report" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand report" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand report" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand report" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand report" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand report" -l external -d 'On external power'
complete -c swapcall -n "__fish_swapcall_using_subcommand report" -l as-cart -d 'Say that a program read these values, not a person'
complete -c swapcall -n "__fish_swapcall_using_subcommand report" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand report" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -l every -d 'How often to look and report' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -l power-supply -d 'Read this computer\'s battery' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -l mount -d 'The folder a card is mounted on, A=/media/card or, with its label, A:C12=/media/card; may be repeated' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -l mounts-under -d 'Every card that is mounted below a folder, as slots A, B …' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -l http -d 'A device that answers with JSON; the report\'s own form, unless --http-map says where the values stand' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -l http-map -d 'Where a value stands, by JSON Pointer: battery=/power/percent, mode=/rec, A.used_percent=/cards/0/fill; may be repeated' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -l ptp -d 'A camera on the network by PTP/IP: its battery and its cards' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -l command -d 'A shell line that prints a report as JSON; its last object is taken' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -s m -l mode -d 'What the camera is doing, where it is not seen from the cards: rec, standby, off' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -l pack -d 'Label of the pack' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -l slot-mode -d 'How the slots work together: single, relay, simultaneous' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -l bit-rate -d 'Bit rate in Mb/s' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -l typed -d 'Ask the person at the terminal for the values, again and again'
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand watch" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand board" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand board" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand board" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand board" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand board" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand board" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand board" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand board" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand board" -l plain -d 'One line per change, for logs and screen readers'
complete -c swapcall -n "__fish_swapcall_using_subcommand board" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand board" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand calls" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand calls" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand calls" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand calls" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand calls" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand calls" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand calls" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand calls" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand calls" -l all -d 'Ended calls as well'
complete -c swapcall -n "__fish_swapcall_using_subcommand calls" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand calls" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand claim" -l as -d 'Claim in another\'s name (leads and owners)' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand claim" -l note -d 'A word for the others' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand claim" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand claim" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand claim" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand claim" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand claim" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand claim" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand claim" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand claim" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand claim" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand claim" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand release" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand release" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand release" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand release" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand release" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand release" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand release" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand release" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand release" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand release" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand done" -l note -d 'A word for the others' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand done" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand done" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand done" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand done" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand done" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand done" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand done" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand done" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand done" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand done" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand undo" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand undo" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand undo" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand undo" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand undo" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand undo" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand undo" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand undo" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand undo" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand undo" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand invite" -l role -d 'What the guest may do: less than you may' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand invite" -l unit -d 'For a cart: the units it may report for; every unit when left out' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand invite" -l minutes -d 'How long the code works' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand invite" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand invite" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand invite" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand invite" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand invite" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand invite" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand invite" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand invite" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand invite" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand invite" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand join" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand join" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand join" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand join" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand join" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand join" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand join" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand join" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand join" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand join" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand find" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand find" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand find" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand find" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand find" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand find" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand find" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand find" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand find" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand find" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand fleet" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand fleet" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand fleet" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand fleet" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand fleet" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand fleet" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand fleet" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand fleet" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand fleet" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand fleet" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand unit" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand unit" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand unit" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand unit" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand unit" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand unit" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand unit" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand unit" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand unit" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand unit" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand packs" -l from -d 'Register all that stand in this table (CSV); - is standard input' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand packs" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand packs" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand packs" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand packs" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand packs" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand packs" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand packs" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand packs" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand packs" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand packs" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand pack" -l wh -d 'What it holds by its label, in watt-hours' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand pack" -l percent -d 'How full it is' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand pack" -l bay -d 'In this bay of a charger' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand pack" -l unit -d 'On this unit' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand pack" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand pack" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand pack" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand pack" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand pack" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand pack" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand pack" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand pack" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand pack" -l ready -d 'Charged, where runners fetch packs'
complete -c swapcall -n "__fish_swapcall_using_subcommand pack" -l spent -d 'Taken off, waiting for a bay'
complete -c swapcall -n "__fish_swapcall_using_subcommand pack" -l out -d 'Not to be used: swollen, dropped, lost'
complete -c swapcall -n "__fish_swapcall_using_subcommand pack" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand pack" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand bays" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand bays" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand bays" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand bays" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand bays" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand bays" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand bays" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand bays" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand bays" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand bays" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand bay" -l pack -d 'The pack that is in it from now on' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand bay" -l percent -d 'How full the pack in it is' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand bay" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand bay" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand bay" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand bay" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand bay" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand bay" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand bay" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand bay" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand bay" -l empty -d 'Its pack has come out'
complete -c swapcall -n "__fish_swapcall_using_subcommand bay" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand bay" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand rotation" -l hours -d 'How far to look, 0.5 to 24' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand rotation" -l bays -d 'Charger bays that are there; those that are known, when left out' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand rotation" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand rotation" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand rotation" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand rotation" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand rotation" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand rotation" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand rotation" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand rotation" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand rotation" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand rotation" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand cards" -l from -d 'Register all that stand in this table (CSV); - is standard input' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand cards" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand cards" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand cards" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand cards" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand cards" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand cards" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand cards" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand cards" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand cards" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand cards" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand card" -l capacity -d 'Its size, such as 128GB' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand card" -l in -d 'In this slot of a unit' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand card" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand card" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand card" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand card" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand card" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand card" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand card" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand card" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand card" -l blank -d 'Nothing on it that anybody wants'
complete -c swapcall -n "__fish_swapcall_using_subcommand card" -l holding -d 'Out of the camera, with footage that is nowhere else'
complete -c swapcall -n "__fish_swapcall_using_subcommand card" -l copying -d 'Being copied'
complete -c swapcall -n "__fish_swapcall_using_subcommand card" -l safe -d 'Copied as often as wanted, and each copy verified'
complete -c swapcall -n "__fish_swapcall_using_subcommand card" -l out -d 'Not to be used'
complete -c swapcall -n "__fish_swapcall_using_subcommand card" -l despite-footage -d 'Let go of footage that is not safe: with --blank'
complete -c swapcall -n "__fish_swapcall_using_subcommand card" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand card" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand kit" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand kit" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand kit" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand kit" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand kit" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand kit" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand kit" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand kit" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand kit" -l example -d 'Print a file to begin with'
complete -c swapcall -n "__fish_swapcall_using_subcommand kit" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand kit" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand offload" -l card -d 'Label of the card: the hub is told that it is being copied, and what came of it' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand offload" -l copies -d 'How many copies have to be proved before the card is safe' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand offload" -l hash -d 'How to hash; several with commas' -r -f -a "c4\t'C4 ID (SMPTE ST 2114), made of SHA-512'
md5\t'MD5 (RFC 1321)'
sha1\t'SHA-1 (FIPS 180-4)'
xxh128\t'XXH3 with 128 bits'
xxh3\t'XXH3 with 64 bits'
xxh64\t'XXH64'
sha256\t'SHA-256 (FIPS 180-4); not part of ASC MHL, so XXH64 is taken as well'"
complete -c swapcall -n "__fish_swapcall_using_subcommand offload" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand offload" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand offload" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand offload" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand offload" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand offload" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand offload" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand offload" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand offload" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand offload" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c swapcall -n "__fish_swapcall_using_subcommand history" -l from -d 'Start: a time (RFC 3339), or how long ago (2h)' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand history" -l to -d 'End: a time (RFC 3339), or how long ago' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand history" -l step -d 'Seconds per point; every reading when left out' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand history" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand history" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand history" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand history" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand history" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand history" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand history" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand history" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand history" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand history" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand forecasts" -l from -d 'Start: a time (RFC 3339), or how long ago (2h)' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand forecasts" -l to -d 'End: a time (RFC 3339), or how long ago' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand forecasts" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand forecasts" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand forecasts" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand forecasts" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand forecasts" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand forecasts" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand forecasts" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand forecasts" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand forecasts" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand forecasts" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand put-unit" -l position -d 'Where it stands' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand put-unit" -l group -d 'Coverage group' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand put-unit" -l walk-s -d 'Seconds to walk from base' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand put-unit" -l gauge -d 'How the gauge works' -r -f -a "coulomb\t'Counts charge'
voltage\t'Looks the percent up from the voltage'"
complete -c swapcall -n "__fish_swapcall_using_subcommand put-unit" -l gauge-step -d 'The gauge\'s resolution in percent' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand put-unit" -l pack-wh -d 'Energy of the usual pack in watt-hours' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand put-unit" -l recording-w -d 'Power drawn while recording in watts' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand put-unit" -l standby-w -d 'Power drawn in standby in watts' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand put-unit" -l bit-rate -d 'Usual bit rate in Mb/s' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand put-unit" -l interval-s -d 'Seconds between reports' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand put-unit" -l display -d 'Display that carries its tally, as the vision mixer counts: INDEX, or SCREEN:INDEX' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand put-unit" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand put-unit" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand put-unit" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand put-unit" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand put-unit" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand put-unit" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand put-unit" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand put-unit" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand put-unit" -l replace -d 'Forget what is not named here'
complete -c swapcall -n "__fish_swapcall_using_subcommand put-unit" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand put-unit" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and not __fish_seen_subcommand_from set help" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and not __fish_seen_subcommand_from set help" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and not __fish_seen_subcommand_from set help" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and not __fish_seen_subcommand_from set help" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and not __fish_seen_subcommand_from set help" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and not __fish_seen_subcommand_from set help" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and not __fish_seen_subcommand_from set help" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and not __fish_seen_subcommand_from set help" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and not __fish_seen_subcommand_from set help" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and not __fish_seen_subcommand_from set help" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and not __fish_seen_subcommand_from set help" -f -a "set" -d 'Replace what was set by what a file says'
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and not __fish_seen_subcommand_from set help" -f -a "help" -d 'Print this message or the help of the given subcommand(s)'
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and __fish_seen_subcommand_from set" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and __fish_seen_subcommand_from set" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and __fish_seen_subcommand_from set" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and __fish_seen_subcommand_from set" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and __fish_seen_subcommand_from set" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and __fish_seen_subcommand_from set" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and __fish_seen_subcommand_from set" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and __fish_seen_subcommand_from set" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and __fish_seen_subcommand_from set" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and __fish_seen_subcommand_from set" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and __fish_seen_subcommand_from help" -f -a "set" -d 'Replace what was set by what a file says'
complete -c swapcall -n "__fish_swapcall_using_subcommand limits; and __fish_seen_subcommand_from help" -f -a "help" -d 'Print this message or the help of the given subcommand(s)'
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and not __fish_seen_subcommand_from show set help" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and not __fish_seen_subcommand_from show set help" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and not __fish_seen_subcommand_from show set help" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and not __fish_seen_subcommand_from show set help" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and not __fish_seen_subcommand_from show set help" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and not __fish_seen_subcommand_from show set help" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and not __fish_seen_subcommand_from show set help" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and not __fish_seen_subcommand_from show set help" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and not __fish_seen_subcommand_from show set help" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and not __fish_seen_subcommand_from show set help" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and not __fish_seen_subcommand_from show set help" -f -a "show" -d 'Show the windows, in order of their start'
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and not __fish_seen_subcommand_from show set help" -f -a "set" -d 'Replace the rundown by what a file says'
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and not __fish_seen_subcommand_from show set help" -f -a "help" -d 'Print this message or the help of the given subcommand(s)'
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from show" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from show" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from show" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from show" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from show" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from show" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from show" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from show" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from show" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from show" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from set" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from set" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from set" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from set" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from set" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from set" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from set" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from set" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from set" -l force -d 'Replace the rundown even if somebody else changed it since the file was read'
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from set" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from set" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from help" -f -a "show" -d 'Show the windows, in order of their start'
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from help" -f -a "set" -d 'Replace the rundown by what a file says'
complete -c swapcall -n "__fish_swapcall_using_subcommand rundown; and __fish_seen_subcommand_from help" -f -a "help" -d 'Print this message or the help of the given subcommand(s)'
complete -c swapcall -n "__fish_swapcall_using_subcommand replay" -l unit -d 'Callsign to report for; needed for CSV' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand replay" -l gauge -d 'The gauge\'s column' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand replay" -l speed -d 'How fast: a factor, or max' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand replay" -l pack -d 'Label of the pack' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand replay" -l step -d 'The gauge\'s resolution, where the column\'s name does not say' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand replay" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand replay" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand replay" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand replay" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand replay" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand replay" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand replay" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand replay" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand replay" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand replay" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand send" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand send" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand send" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand send" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand send" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand send" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand send" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand send" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand send" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand send" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand status" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand status" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand status" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand status" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand status" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand status" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand status" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand status" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand status" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand status" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand doctor" -l power-supply -d 'Read this computer\'s battery' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand doctor" -l mount -d 'The folder a card is mounted on, A=/media/card or, with its label, A:C12=/media/card; may be repeated' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand doctor" -l mounts-under -d 'Every card that is mounted below a folder, as slots A, B …' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand doctor" -l http -d 'A device that answers with JSON; the report\'s own form, unless --http-map says where the values stand' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand doctor" -l http-map -d 'Where a value stands, by JSON Pointer: battery=/power/percent, mode=/rec, A.used_percent=/cards/0/fill; may be repeated' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand doctor" -l ptp -d 'A camera on the network by PTP/IP: its battery and its cards' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand doctor" -l command -d 'A shell line that prints a report as JSON; its last object is taken' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand doctor" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand doctor" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand doctor" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand doctor" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand doctor" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand doctor" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand doctor" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand doctor" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand doctor" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand doctor" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand man" -l dir -d 'Write every page into this folder instead' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand man" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand man" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand man" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand man" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand man" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand man" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand man" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand man" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand man" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand man" -s h -l help -d 'Print help'
complete -c swapcall -n "__fish_swapcall_using_subcommand completions" -l hub -d 'Address of the hub [env: SWAPCALL_HUB] [default: http://127.0.0.1:7979]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand completions" -l token -d 'The token; better kept in a file or in the environment [env: SWAPCALL_TOKEN]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand completions" -l token-file -d 'A file that holds the token [env: SWAPCALL_TOKEN_FILE]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand completions" -l hub-fingerprint -d 'Take exactly the certificate with this fingerprint, as the hub prints it [env: SWAPCALL_HUB_FINGERPRINT]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand completions" -l hub-ca -d 'Take certificates signed by the authorities in this PEM file [env: SWAPCALL_HUB_CA] [default: the system\'s]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand completions" -l spool -d 'The folder for reports that wait [env: SWAPCALL_SPOOL] [default: $XDG_STATE_HOME/swapcall/spool]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand completions" -l spool-size -d 'How large that folder may grow; its oldest reports are thinned, then dropped [env: SWAPCALL_SPOOL_SIZE] [default: 64 MiB]' -r
complete -c swapcall -n "__fish_swapcall_using_subcommand completions" -l config -d 'Configuration file with hub, hub_fingerprint, hub_ca, token, token_file, spool, spool_size [default: $XDG_CONFIG_HOME/swapcall/config.toml]' -r -F
complete -c swapcall -n "__fish_swapcall_using_subcommand completions" -l json -d 'Answer in JSON: one document, or one to a line where there are many'
complete -c swapcall -n "__fish_swapcall_using_subcommand completions" -s h -l help -d 'Print help (see more with \'--help\')'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "report" -d 'Report what you read off a unit\'s display'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "watch" -d 'Report on a period from what this computer can read'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "board" -d 'Show the fleet, live'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "calls" -d 'List the calls'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "claim" -d 'Take a call: you are on the way'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "release" -d 'Give a call back'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "done" -d 'Say that a call is done'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "undo" -d 'Take back that a call is done, within 30 seconds'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "invite" -d 'Make a code with which somebody comes in, once'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "join" -d 'Come in with a code: writes the token and the hub\'s address to the configuration'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "find" -d 'List the hubs that announce themselves on this network'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "fleet" -d 'Show every unit, once'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "unit" -d 'Show one unit'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "packs" -d 'List the packs of the kit: which are ready, and where the others are'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "pack" -d 'Show a pack and what was learned of it, or say where it is and how full'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "bays" -d 'List the bays of the chargers: what is in them, and when it is ready'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "bay" -d 'Show a bay, or say what is in it and how full'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "rotation" -d 'Look ahead: whether the packs last, when they run short, how short, and what would cure it'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "cards" -d 'List the cards of the kit: which are blank, and where the others are'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "card" -d 'Show a card, or say where it is and what is on it'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "kit" -d 'Say before a show whether the kit lasts, what fails first, and what would mend it'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "offload" -d 'Copy a card to several places, read every copy back, and say whether the card is safe'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "history" -d 'Show a unit\'s past'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "forecasts" -d 'Show how good a unit\'s forecasts were: as they were made, with what then happened'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "put-unit" -d 'Say what is known about a unit before it reports'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "limits" -d 'Show or set lead times, margins and reminder times'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "rundown" -d 'Show or set the running order: when units roll, are held, or have a break'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "replay" -d 'Post a recorded log, in real or compressed time'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "send" -d 'Send what waits in the spool, now'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "status" -d 'Show what waits in the spool, and whether the hub answers'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "doctor" -d 'Check everything a cart needs: configuration, hub, token, clock, spool and sources'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "man" -d 'Print the manual, or the page of one command'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "completions" -d 'Print completions for a shell'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and not __fish_seen_subcommand_from report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help" -f -a "help" -d 'Print this message or the help of the given subcommand(s)'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and __fish_seen_subcommand_from limits" -f -a "set" -d 'Replace what was set by what a file says'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and __fish_seen_subcommand_from rundown" -f -a "show" -d 'Show the windows, in order of their start'
complete -c swapcall -n "__fish_swapcall_using_subcommand help; and __fish_seen_subcommand_from rundown" -f -a "set" -d 'Replace the rundown by what a file says'
