_swapcall() {
    local i cur prev opts cmd
    COMPREPLY=()
    if [[ "${BASH_VERSINFO[0]}" -ge 4 ]]; then
        cur="$2"
    else
        cur="${COMP_WORDS[COMP_CWORD]}"
    fi
    prev="$3"
    cmd=""
    opts=""

    for i in "${COMP_WORDS[@]:0:COMP_CWORD}"
    do
        case "${cmd},${i}" in
            ",$1")
                cmd="swapcall"
                ;;
            swapcall,bay)
                cmd="swapcall__subcmd__bay"
                ;;
            swapcall,bays)
                cmd="swapcall__subcmd__bays"
                ;;
            swapcall,board)
                cmd="swapcall__subcmd__board"
                ;;
            swapcall,calls)
                cmd="swapcall__subcmd__calls"
                ;;
            swapcall,card)
                cmd="swapcall__subcmd__card"
                ;;
            swapcall,cards)
                cmd="swapcall__subcmd__cards"
                ;;
            swapcall,claim)
                cmd="swapcall__subcmd__claim"
                ;;
            swapcall,completions)
                cmd="swapcall__subcmd__completions"
                ;;
            swapcall,doctor)
                cmd="swapcall__subcmd__doctor"
                ;;
            swapcall,done)
                cmd="swapcall__subcmd__done"
                ;;
            swapcall,find)
                cmd="swapcall__subcmd__find"
                ;;
            swapcall,fleet)
                cmd="swapcall__subcmd__fleet"
                ;;
            swapcall,forecasts)
                cmd="swapcall__subcmd__forecasts"
                ;;
            swapcall,help)
                cmd="swapcall__subcmd__help"
                ;;
            swapcall,history)
                cmd="swapcall__subcmd__history"
                ;;
            swapcall,invite)
                cmd="swapcall__subcmd__invite"
                ;;
            swapcall,join)
                cmd="swapcall__subcmd__join"
                ;;
            swapcall,kit)
                cmd="swapcall__subcmd__kit"
                ;;
            swapcall,limits)
                cmd="swapcall__subcmd__limits"
                ;;
            swapcall,man)
                cmd="swapcall__subcmd__man"
                ;;
            swapcall,offload)
                cmd="swapcall__subcmd__offload"
                ;;
            swapcall,pack)
                cmd="swapcall__subcmd__pack"
                ;;
            swapcall,packs)
                cmd="swapcall__subcmd__packs"
                ;;
            swapcall,put-unit)
                cmd="swapcall__subcmd__put__subcmd__unit"
                ;;
            swapcall,release)
                cmd="swapcall__subcmd__release"
                ;;
            swapcall,replay)
                cmd="swapcall__subcmd__replay"
                ;;
            swapcall,report)
                cmd="swapcall__subcmd__report"
                ;;
            swapcall,rotation)
                cmd="swapcall__subcmd__rotation"
                ;;
            swapcall,rundown)
                cmd="swapcall__subcmd__rundown"
                ;;
            swapcall,send)
                cmd="swapcall__subcmd__send"
                ;;
            swapcall,status)
                cmd="swapcall__subcmd__status"
                ;;
            swapcall,undo)
                cmd="swapcall__subcmd__undo"
                ;;
            swapcall,unit)
                cmd="swapcall__subcmd__unit"
                ;;
            swapcall,watch)
                cmd="swapcall__subcmd__watch"
                ;;
            swapcall__subcmd__help,bay)
                cmd="swapcall__subcmd__help__subcmd__bay"
                ;;
            swapcall__subcmd__help,bays)
                cmd="swapcall__subcmd__help__subcmd__bays"
                ;;
            swapcall__subcmd__help,board)
                cmd="swapcall__subcmd__help__subcmd__board"
                ;;
            swapcall__subcmd__help,calls)
                cmd="swapcall__subcmd__help__subcmd__calls"
                ;;
            swapcall__subcmd__help,card)
                cmd="swapcall__subcmd__help__subcmd__card"
                ;;
            swapcall__subcmd__help,cards)
                cmd="swapcall__subcmd__help__subcmd__cards"
                ;;
            swapcall__subcmd__help,claim)
                cmd="swapcall__subcmd__help__subcmd__claim"
                ;;
            swapcall__subcmd__help,completions)
                cmd="swapcall__subcmd__help__subcmd__completions"
                ;;
            swapcall__subcmd__help,doctor)
                cmd="swapcall__subcmd__help__subcmd__doctor"
                ;;
            swapcall__subcmd__help,done)
                cmd="swapcall__subcmd__help__subcmd__done"
                ;;
            swapcall__subcmd__help,find)
                cmd="swapcall__subcmd__help__subcmd__find"
                ;;
            swapcall__subcmd__help,fleet)
                cmd="swapcall__subcmd__help__subcmd__fleet"
                ;;
            swapcall__subcmd__help,forecasts)
                cmd="swapcall__subcmd__help__subcmd__forecasts"
                ;;
            swapcall__subcmd__help,help)
                cmd="swapcall__subcmd__help__subcmd__help"
                ;;
            swapcall__subcmd__help,history)
                cmd="swapcall__subcmd__help__subcmd__history"
                ;;
            swapcall__subcmd__help,invite)
                cmd="swapcall__subcmd__help__subcmd__invite"
                ;;
            swapcall__subcmd__help,join)
                cmd="swapcall__subcmd__help__subcmd__join"
                ;;
            swapcall__subcmd__help,kit)
                cmd="swapcall__subcmd__help__subcmd__kit"
                ;;
            swapcall__subcmd__help,limits)
                cmd="swapcall__subcmd__help__subcmd__limits"
                ;;
            swapcall__subcmd__help,man)
                cmd="swapcall__subcmd__help__subcmd__man"
                ;;
            swapcall__subcmd__help,offload)
                cmd="swapcall__subcmd__help__subcmd__offload"
                ;;
            swapcall__subcmd__help,pack)
                cmd="swapcall__subcmd__help__subcmd__pack"
                ;;
            swapcall__subcmd__help,packs)
                cmd="swapcall__subcmd__help__subcmd__packs"
                ;;
            swapcall__subcmd__help,put-unit)
                cmd="swapcall__subcmd__help__subcmd__put__subcmd__unit"
                ;;
            swapcall__subcmd__help,release)
                cmd="swapcall__subcmd__help__subcmd__release"
                ;;
            swapcall__subcmd__help,replay)
                cmd="swapcall__subcmd__help__subcmd__replay"
                ;;
            swapcall__subcmd__help,report)
                cmd="swapcall__subcmd__help__subcmd__report"
                ;;
            swapcall__subcmd__help,rotation)
                cmd="swapcall__subcmd__help__subcmd__rotation"
                ;;
            swapcall__subcmd__help,rundown)
                cmd="swapcall__subcmd__help__subcmd__rundown"
                ;;
            swapcall__subcmd__help,send)
                cmd="swapcall__subcmd__help__subcmd__send"
                ;;
            swapcall__subcmd__help,status)
                cmd="swapcall__subcmd__help__subcmd__status"
                ;;
            swapcall__subcmd__help,undo)
                cmd="swapcall__subcmd__help__subcmd__undo"
                ;;
            swapcall__subcmd__help,unit)
                cmd="swapcall__subcmd__help__subcmd__unit"
                ;;
            swapcall__subcmd__help,watch)
                cmd="swapcall__subcmd__help__subcmd__watch"
                ;;
            swapcall__subcmd__help__subcmd__limits,set)
                cmd="swapcall__subcmd__help__subcmd__limits__subcmd__set"
                ;;
            swapcall__subcmd__help__subcmd__rundown,set)
                cmd="swapcall__subcmd__help__subcmd__rundown__subcmd__set"
                ;;
            swapcall__subcmd__help__subcmd__rundown,show)
                cmd="swapcall__subcmd__help__subcmd__rundown__subcmd__show"
                ;;
            swapcall__subcmd__limits,help)
                cmd="swapcall__subcmd__limits__subcmd__help"
                ;;
            swapcall__subcmd__limits,set)
                cmd="swapcall__subcmd__limits__subcmd__set"
                ;;
            swapcall__subcmd__limits__subcmd__help,help)
                cmd="swapcall__subcmd__limits__subcmd__help__subcmd__help"
                ;;
            swapcall__subcmd__limits__subcmd__help,set)
                cmd="swapcall__subcmd__limits__subcmd__help__subcmd__set"
                ;;
            swapcall__subcmd__rundown,help)
                cmd="swapcall__subcmd__rundown__subcmd__help"
                ;;
            swapcall__subcmd__rundown,set)
                cmd="swapcall__subcmd__rundown__subcmd__set"
                ;;
            swapcall__subcmd__rundown,show)
                cmd="swapcall__subcmd__rundown__subcmd__show"
                ;;
            swapcall__subcmd__rundown__subcmd__help,help)
                cmd="swapcall__subcmd__rundown__subcmd__help__subcmd__help"
                ;;
            swapcall__subcmd__rundown__subcmd__help,set)
                cmd="swapcall__subcmd__rundown__subcmd__help__subcmd__set"
                ;;
            swapcall__subcmd__rundown__subcmd__help,show)
                cmd="swapcall__subcmd__rundown__subcmd__help__subcmd__show"
                ;;
            *)
                ;;
        esac
    done

    case "${cmd}" in
        swapcall)
            opts="-h -V --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help --version report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 1 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__bay)
            opts="-h --pack --percent --empty --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --pack)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --percent)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__bays)
            opts="-h --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__board)
            opts="-h --plain --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__calls)
            opts="-h --all --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__card)
            opts="-h --capacity --blank --holding --copying --safe --out --in --despite-footage --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --capacity)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --in)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__cards)
            opts="-h --from --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --from)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__claim)
            opts="-h --as --note --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --as)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --note)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__completions)
            opts="-h --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help bash elvish fish powershell zsh"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__doctor)
            opts="-h --power-supply --mount --mounts-under --http --http-map --ptp --command --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --power-supply)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --mount)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --mounts-under)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --http)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --http-map)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --ptp)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --command)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__done)
            opts="-h --note --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --note)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__find)
            opts="-h --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__fleet)
            opts="-h --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__forecasts)
            opts="-h --from --to --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --from)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --to)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help)
            opts="report watch board calls claim release done undo invite join find fleet unit packs pack bays bay rotation cards card kit offload history forecasts put-unit limits rundown replay send status doctor man completions help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__bay)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__bays)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__board)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__calls)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__card)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__cards)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__claim)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__completions)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__doctor)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__done)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__find)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__fleet)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__forecasts)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__help)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__history)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__invite)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__join)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__kit)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__limits)
            opts="set"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__limits__subcmd__set)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 4 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__man)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__offload)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__pack)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__packs)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__put__subcmd__unit)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__release)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__replay)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__report)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__rotation)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__rundown)
            opts="show set"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__rundown__subcmd__set)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 4 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__rundown__subcmd__show)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 4 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__send)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__status)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__undo)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__unit)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__help__subcmd__watch)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__history)
            opts="-h --from --to --step --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --from)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --to)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --step)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__invite)
            opts="-h --role --unit --minutes --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --role)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --unit)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --minutes)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__join)
            opts="-h --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__kit)
            opts="-h --example --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__limits)
            opts="-h --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help set help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__limits__subcmd__help)
            opts="set help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__limits__subcmd__help__subcmd__help)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 4 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__limits__subcmd__help__subcmd__set)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 4 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__limits__subcmd__set)
            opts="-h --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__man)
            opts="-h --dir --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --dir)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__offload)
            opts="-h --card --copies --hash --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --card)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --copies)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hash)
                    COMPREPLY=($(compgen -W "c4 md5 sha1 xxh128 xxh3 xxh64 sha256" -- "${cur}"))
                    return 0
                    ;;
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__pack)
            opts="-h --wh --percent --ready --spent --out --bay --unit --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --wh)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --percent)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --bay)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --unit)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__packs)
            opts="-h --from --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --from)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__put__subcmd__unit)
            opts="-h --position --group --walk-s --gauge --gauge-step --pack-wh --recording-w --standby-w --bit-rate --interval-s --display --replace --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --position)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --group)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --walk-s)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --gauge)
                    COMPREPLY=($(compgen -W "coulomb voltage" -- "${cur}"))
                    return 0
                    ;;
                --gauge-step)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --pack-wh)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --recording-w)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --standby-w)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --bit-rate)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --interval-s)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --display)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__release)
            opts="-h --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__replay)
            opts="-h --unit --gauge --speed --pack --step --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --unit)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --gauge)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --speed)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --pack)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --step)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__report)
            opts="-b -m -h --battery --step --pack --external --celsius --volts --card --slot-mode --bit-rate --mode --as-cart --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --battery)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                -b)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --step)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --pack)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --celsius)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --volts)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --card)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --slot-mode)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --bit-rate)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --mode)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                -m)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__rotation)
            opts="-h --hours --bays --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --hours)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --bays)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__rundown)
            opts="-h --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help show set help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__rundown__subcmd__help)
            opts="show set help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__rundown__subcmd__help__subcmd__help)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 4 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__rundown__subcmd__help__subcmd__set)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 4 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__rundown__subcmd__help__subcmd__show)
            opts=""
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 4 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__rundown__subcmd__set)
            opts="-h --force --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__rundown__subcmd__show)
            opts="-h --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 3 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__send)
            opts="-h --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__status)
            opts="-h --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__undo)
            opts="-h --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__unit)
            opts="-h --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
        swapcall__subcmd__watch)
            opts="-m -h --every --power-supply --mount --mounts-under --http --http-map --ptp --command --typed --mode --pack --slot-mode --bit-rate --hub --token --token-file --hub-fingerprint --hub-ca --spool --spool-size --config --json --help"
            if [[ ${cur} == -* || ${COMP_CWORD} -eq 2 ]] ; then
                COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
                return 0
            fi
            case "${prev}" in
                --every)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --power-supply)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --mount)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --mounts-under)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --http)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --http-map)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --ptp)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --command)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --mode)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                -m)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --pack)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --slot-mode)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --bit-rate)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --token-file)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-fingerprint)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --hub-ca)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --spool-size)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                --config)
                    COMPREPLY=($(compgen -f "${cur}"))
                    return 0
                    ;;
                *)
                    COMPREPLY=()
                    ;;
            esac
            COMPREPLY=( $(compgen -W "${opts}" -- "${cur}") )
            return 0
            ;;
    esac
}

if [[ "${BASH_VERSINFO[0]}" -eq 4 && "${BASH_VERSINFO[1]}" -ge 4 || "${BASH_VERSINFO[0]}" -gt 4 ]]; then
    complete -F _swapcall -o nosort -o bashdefault -o default swapcall
else
    complete -F _swapcall -o bashdefault -o default swapcall
fi
